"""What good boards read: only figures behind the repair that cured, by board, with the interval of ISO 16269-6."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from nextprobe.learn.bands import BOARDS, bands_of_good
from nextprobe.learn.case import Case, GoodReading
from nextprobe.learn.gather import Gathered
from nextprobe.learn.learn import learn
from nextprobe.pack.load import load_pack
from nextprobe.walk.state import Evidence
from tests.learn.workshop import pack_folder


def case(value: float, board: str = "tansy-12") -> Case:
    return Case("j", "dark", (), (), board=board, good=(GoodReading("volts", value),))


def test_a_band_is_the_tolerance_interval(tmp_path: Path) -> None:
    """k = 3.393 for ten readings, 95 % and 95 %: ISO 16269-6:2014, from memory."""
    pack = load_pack(pack_folder(tmp_path))
    values = [11.9, 12.0, 12.1, 12.0, 11.95, 12.05, 12.1, 11.9, 12.0, 12.0]
    found = bands_of_good(pack, [*map(case, values), case(40.0, "other-3"), replace(case(1.0), board="")])
    band = next(one for one in found if one.board == "tansy-12")
    assert band.low == pytest.approx(np.mean(values) - 3.393 * np.std(values, ddof=1), abs=1e-3)
    assert band.high == pytest.approx(np.mean(values) + 3.393 * np.std(values, ddof=1), abs=1e-3)
    assert (band.middle, band.boards) == (12.0, 10)
    assert {one.board for one in found} == {"tansy-12", "other-3"}


def test_few_boards_have_no_interval(tmp_path: Path) -> None:
    pack = load_pack(pack_folder(tmp_path))
    band = bands_of_good(pack, [case(12.0)] * (BOARDS - 1))[0]
    assert (band.low, band.high) == (None, None)


def test_a_figure_before_the_repair_counts_where_the_fault_has_no_bearing(tmp_path: Path) -> None:
    """The broken bulb leaves the volts healthy, the open fuse does not: by the pack's own rules."""
    pack = load_pack(pack_folder(tmp_path))

    def told(id_: str, outcome: str) -> Evidence:
        return Evidence(id_, "measure", outcome, ((outcome, 1.0),))

    def cured(value: float, repair: str, outcome: str, *, after: bool = False) -> Case:
        evidence = (told("volts", outcome), Evidence(repair, "repair", "gone"))
        good = (GoodReading("volts", value, after),)
        return Case("j", "dark", (), evidence, day="2026-03-02", board="tansy-12", good=good)

    bulb = cured(12.2, "replace_bulb", "healthy")
    fuse = cured(1.0, "replace_fuse", "away")
    again = cured(12.4, "replace_fuse", "away", after=True)
    found = learn(pack, Gathered((bulb, fuse, again), {})).bands
    assert [one.boards for one in found] == [2]
    assert found[0].middle == pytest.approx(12.3)
