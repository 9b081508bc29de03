"""Edges of ``nextprobe walk``: a pack without repairs, a shop file, answers that cannot be, odd files and stores."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.record.store import open_store
from tests.cli.helpers import CORE, answers_file, result_of

FINDING = """\
format: 1
id: chime
title: Chime stays silent
version: 1.0.0
symptoms: {silent: {title: Silent, seen: {minutes: 1, how: Listen.}}}
causes:
  coil: {title: Coil open, weight: 1, leads_to: {silent: 1}}
  wire: {title: Wire broken, weight: 1, leads_to: {silent: 1}}
measurements:
  coil_ohm:
    title: Coil resistance
    quantity: resistance
    minutes: 1
    outcomes: {good: {range: below 20 ohm}, open: {range: above 20 ohm}}
    reads:
      - {when: coil, gives: {open: 0.99, good: 0.01}}
      - {otherwise: {good: 0.99, open: 0.01}}
"""


@pytest.fixture(autouse=True)
def _own_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


@pytest.mark.parametrize(("typed", "cause"), [("OL", "coil"), ("4R7", "wire"), ("4k7", "coil"), ("12,5 ohm", "wire")])
def test_a_pack_without_repairs_ends_found(
    typed: str, cause: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pack = tmp_path / "chime" / "pack.yaml"
    pack.parent.mkdir()
    pack.write_text(FINDING, encoding="utf-8")
    path = answers_file(tmp_path, {"coil_ohm": typed})
    result = result_of(capsys, "walk", str(pack), "--answers", str(path))
    assert result["ending"] == "found"
    assert result["cause"] == cause
    for step in result["steps"]:
        assert set(step) >= {"ask", "kind", "told", "minutes", "bench"}


@pytest.mark.parametrize("value", ["3 ohm", "wobbly", "nan", "1e999 V", "1" * 5000])
def test_a_figure_that_cannot_be_is_said_and_what_was_told_before_is_kept(
    value: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = answers_file(tmp_path, {"outside_look": "clean", "lights_60s": value})
    assert main([*CORE, "--answers", str(path)]) == 2
    error = capsys.readouterr().err
    assert "lights_60s" in error
    assert "Traceback" not in error
    with open_store() as store:
        jobs = store.jobs()
        assert len(jobs) == 1
        assert [event.kind for event in store.events(jobs[0].id)] == ["started", "told"]
        assert store.verify(jobs[0].id) == []


def test_a_shop_file_says_what_is_lacking(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shop = tmp_path / "shop.yaml"
    shop.write_text("format: 1\nlabour_per_hour: 60\nlacks: [slot_checker]\nlimit: 100\n", encoding="utf-8")
    path = answers_file(tmp_path, {"outside_look": "swollen"})
    assert main([*CORE, "--shop", str(shop), "--answers", str(path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["ending"] == "stopped"
    with open_store() as store:
        started = store.events(store.jobs()[0].id)[0].data
    assert started["lacks"] == ["slot_checker"]
    assert started["limit"] == 100


@pytest.mark.parametrize("id_", ["seen", "no_picture"])
def test_seeing_the_symptom_is_answered_with_the_repair(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], id_: str
) -> None:
    path = answers_file(tmp_path, {id_: "gone"})
    assert main([*CORE, "--answers", str(path)]) == 2
    assert "is the answer of the repair: `gone` or `still`" in " ".join(capsys.readouterr().err.split())


@pytest.mark.parametrize(
    "content",
    [b"\xb0\xff\x00binary", b"a: \x00b\n", b"x: " + b"[" * 5000, b"a: b\n" * 1_000_000, b"just text\n", b""],
    ids=["binary", "nul", "deep", "large", "text", "empty"],
)
@pytest.mark.parametrize("option", ["pack", "--board", "--answers", "--shop"])
def test_an_odd_file_is_one_message_and_no_job(
    content: bytes, option: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "odd.yaml"
    path.write_bytes(content)
    arguments = ["walk", str(path), "--plain"] if option == "pack" else ["walk", "no-picture", option, str(path)]
    assert main(arguments) == 2
    captured = capsys.readouterr()
    assert "cannot be used" in captured.err
    assert "Traceback" not in captured.err
    assert captured.out == ""
    with open_store() as store:
        assert store.jobs() == []


@pytest.mark.parametrize("kind", ["garbage", "folder", "other"])
def test_a_store_that_cannot_be_used_is_one_message(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    place = tmp_path / "odd.db"
    if kind == "garbage":
        place.write_bytes(b"not a database at all" * 100)
    if kind == "folder":
        place.mkdir()
    address = "postgresql://bench" if kind == "other" else f"sqlite:///{place}"
    monkeypatch.setenv("NEXTPROBE_STORE", address)
    assert main([*CORE, "--plain"]) == 2
    error = capsys.readouterr().err
    assert error.startswith("nextprobe: The store")
    assert "Traceback" not in error


def test_a_board_sheet_of_another_pack_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = tmp_path / "other.yaml"
    sheet.write_text("format: 1\nid: other\ntitle: Other\nfor: [no-reaction]\n", encoding="utf-8")
    assert main(["walk", "no-picture", "--board", str(sheet)]) == 2
    assert "no-picture" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [
        ["walk", "LONG"],
        ["validate", "LONG"],
        ["study", "LONG"],
        ["plan", "LONG"],
        ["walk", "no-picture", "--board", "LONG"],
        ["walk", "no-picture", "--answers", "LONG"],
        ["walk", "no-picture", "--shop", "LONG"],
    ],
    ids=" ".join,
)
@pytest.mark.parametrize("name", ["x" * 5000, "a\x00b"], ids=["long", "nul"])
def test_a_name_that_no_file_can_have_is_one_message(
    arguments: list[str], name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([name if one == "LONG" else one for one in arguments]) == 2
    error = capsys.readouterr().err
    assert "There is no" in error
    assert "internal fault" not in error
