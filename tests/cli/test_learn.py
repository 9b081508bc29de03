"""`nextprobe learn` at the command line: text, JSON, written, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from nextprobe.cli.main import main
from tests.learn.workshop import BULB, CAUSES, FUSE, QUOTED, lead, pack_folder, store_in


@pytest.fixture
def workshop(tmp_path: Path) -> tuple[str, str]:
    """The pack's folder and the store's file, with three jobs."""
    folder = pack_folder(tmp_path)
    with store_in(tmp_path) as store:
        for told in (BULB, FUSE, QUOTED):
            lead(store, folder, told, took=3.0)
    return str(folder), str(tmp_path / "jobs.db")


def test_text(workshop: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["learn", workshop[0], "--from", workshop[1]]) == 0
    said = capsys.readouterr().out
    assert "learnt from 3 jobs" in said
    assert "Without a proven cause: 1 job (1 quoted)." in " ".join(said.split())
    for title in ("WEIGHTS", "HOW OFTEN A REPAIR WORKS", "MINUTES OF STEPS", "MISREAD"):
        assert title in said
    assert max(map(len, said.splitlines())) < 80
    assert (Path(workshop[0]) / "causes.yaml").read_text(encoding="utf-8") == CAUSES


def test_json(workshop: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["learn", workshop[0], "--from", f"sqlite:///{workshop[1]}", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["jobs"] == 3
    assert said["not_proven"] == {"referred": 1}
    assert said["written"] is None
    assert all(one["low"] <= one["after"] <= one["high"] for one in said["numbers"] if one["kind"] == "minutes")


def test_written(workshop: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["learn", workshop[0], "--from", workshop[1], "--write"]) == 0
    assert "Written: " in capsys.readouterr().out
    assert main(["validate", workshop[0]]) == 0
    capsys.readouterr()
    assert main(["learn", workshop[0], "--from", workshop[1], "--write"]) == 0
    assert "Nothing to write." in capsys.readouterr().out


def test_the_own_store_is_the_default(
    workshop: tuple[str, str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{workshop[1]}")
    assert main(["learn", workshop[0]]) == 0
    assert "learnt from 3 jobs" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--worth", "0"], "--worth is 0. Give a number of jobs"),
        (["--worth", "nan"], "--worth is nan."),
        (["--from", "nowhere.db"], "There is no store 'nowhere.db'. Name the file of a store"),
        (["--from", "mongo://x"], "mongo"),
    ],
)
def test_refused(workshop: tuple[str, str], capsys: pytest.CaptureFixture[str], more: list[str], said: str) -> None:
    assert main(["learn", workshop[0], *more]) == 2
    error = " ".join(capsys.readouterr().err.split())
    assert said in error
    assert "Traceback" not in error


def test_an_unknown_pack(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["learn", "no-such-pack"]) == 2
    assert "There is no pack 'no-such-pack'." in capsys.readouterr().err
