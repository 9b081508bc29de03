"""``nextprobe sources``: the shares first, then every number with its place and source."""

from __future__ import annotations

from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.pack.load import load_pack
from nextprobe.pack.numbers import numbers
from tests.cli.helpers import result_of

SOUND = str(Path(__file__).parents[1] / "pack" / "sound" / "pack.yaml")


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> list[str]:
    assert main(["sources", *arguments]) == 0
    return capsys.readouterr().out.splitlines()


def test_every_number_is_listed(capsys: pytest.CaptureFixture[str]) -> None:
    lines = printed(capsys, SOUND)
    every = numbers(load_pack(SOUND))
    assert lines[1].startswith(f"{len(every)} numbers, ")
    for one in every:
        assert any(line.startswith(f"{one.line:>6}  {one.shown}:") for line in lines), one.shown
    assert max(map(len, lines)) <= 80
    assert any("good to a factor of 2" in line for line in lines)


def test_kinds_of_source_and_of_number_can_be_chosen(capsys: pytest.CaptureFixture[str]) -> None:
    found = result_of(capsys, "sources", "no-picture", "--status", "standard", "--kind", "range")
    assert found["numbers"]
    assert {(one["status"], one["kind"]) for one in found["numbers"]} == {("standard", "range")}
    assert all(one["source"]["ref"] and one["line"] > 0 and one["file"] for one in found["numbers"])
    assert found["count"] == sum(found["by_status"].values()) == sum(found["by_kind"].values())
    assert 0 < found["estimate_share"] < 1


def test_a_board_sheet_is_told_too(capsys: pytest.CaptureFixture[str]) -> None:
    found = result_of(capsys, "sources", "no-picture", "--board", "brindle-14")
    assert found["board"] == "brindle-14"
    assert any(one["file"].endswith("brindle-14.yaml") for one in found["numbers"])


@pytest.mark.parametrize("wrong", [["--status", "guess"], ["--kind", "colour"]])
def test_what_there_is_not_is_refused_with_what_there_is(wrong: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sources", SOUND, *wrong]) == 2
    assert "estimate" in (said := capsys.readouterr().err) or "weight" in said
