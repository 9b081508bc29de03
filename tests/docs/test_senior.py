"""The guide for the senior technician: what it shows is one pack that holds together, and its commands are there.

What the pump's cases expect is workshop reasoning; common practice, no source.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from nextprobe import Walk, load_pack
from nextprobe.cli import main as entry
from nextprobe.pack.cache import validate_source
from nextprobe.pack.context import CHECK_OUTCOMES, HISTORY_OUTCOMES, REPAIR_OUTCOMES
from nextprobe.quantity import QUANTITIES
from nextprobe.resources import schemas_dir
from nextprobe.study.cases import run_cases
from nextprobe.walk.play import play

GUIDE = Path(__file__).parent.parent.parent / "docs" / "senior.md"
TEXT = GUIDE.read_text(encoding="utf-8")


def blocks(kind: str) -> str:
    """Everything that stands in fences of this kind, in order."""
    return "\n".join(re.findall(rf"^```{kind}\n(.*?)^```", TEXT, re.MULTILINE | re.DOTALL))


@pytest.fixture
def pump(tmp_path: Path) -> Path:
    folder = tmp_path / "cellar-pump"
    folder.mkdir()
    (folder / "pack.yaml").write_text(blocks("yaml"), encoding="utf-8")
    (folder / "cases.yaml").write_text(blocks("cases"), encoding="utf-8")
    return folder


def test_its_parts_are_one_valid_pack(pump: Path) -> None:
    found = [f"{one.code} {one.message}" for one in validate_source(pump / "pack.yaml").findings]
    # The guide says so itself: a winding is not repaired here.
    assert found == ["NP354 No repair fixes `winding_open`."]
    assert [str(one) for one in validate_source(pump / "cases.yaml").findings] == []


def test_its_cases_pass(pump: Path) -> None:
    results = run_cases(str(pump))
    assert len(results) >= 4
    assert [(one.name, one.astray) for one in results if not one.passed] == []


def test_its_pack_walks(pump: Path) -> None:
    walk = Walk(load_pack(str(pump)))
    play(walk, {"first_look": "sound", "cause": "impeller_jammed"})
    assert walk.ending is not None
    assert walk.ending.what == "repaired"


def test_its_job_ends_repaired(pump: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = pump.parent / "job.yaml"
    job.write_text(blocks("job"), encoding="utf-8")
    assert entry.main(["walk", str(pump), "--answers", str(job)]) == 0
    assert "REPAIRED. Renew the run capacitor" in capsys.readouterr().out


def test_what_one_tells_and_expects_is_all_there_is() -> None:
    for words in (CHECK_OUTCOMES, HISTORY_OUTCOMES, REPAIR_OUTCOMES):
        assert all(f"`{word}`" in TEXT for word in words)
    listed = json.loads((schemas_dir() / "cases.schema.json").read_text("utf-8"))["$defs"]["expectation"]["properties"]
    assert all(f"`{key}" in TEXT for key in listed)
    assert all(one in TEXT for one in QUANTITIES)


def test_its_answers_begin_a_pack(tmp_path: Path) -> None:
    answers = tmp_path / "answers.yaml"
    answers.write_text(blocks("answers"), encoding="utf-8")
    assert entry.main(["new", str(tmp_path / "begun"), "--answers", str(answers)]) == 0
    assert [str(one) for one in validate_source(tmp_path / "begun" / "pack.yaml").findings] == []


def test_every_command_it_shows_is_there(capsys: pytest.CaptureFixture[str]) -> None:
    shown = re.findall(r"nextprobe ([a-z]+)((?: [^`\s]+)*)", TEXT)
    assert {name for name, _ in shown} >= {"new", "walk", "validate", "study", "sources", "plan", "export", "format"}
    for name, rest in shown:
        assert entry.main([name, "--help"]) == 0, name
        known = capsys.readouterr().out
        for option in re.findall(r"(?<= )--?[a-z]+\b", rest):
            assert option in known, f"{name} {option}"
