"""`nextprobe validate`: text with the line and a caret, JSON, SARIF 2.1.0, exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.resources import bundled_boards, bundled_packs, packs_dir

TESTS = Path(__file__).parent.parent
BROKEN = TESTS / "broken"


@pytest.fixture(autouse=True)
def _own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NEXTPROBE_CACHE", str(tmp_path / "cache"))


def test_text_shows_place_line_and_cure(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["validate", str(BROKEN / "unknown-effect.yaml")]) == 1
    first, cure, line, caret, total = capsys.readouterr().out.splitlines()
    assert first.endswith("error NP301: There is no effect or symptom `rail_mising`.")
    assert cure == "    Did you mean `rail_missing`?"
    assert line.endswith("| leads_to: {rail_mising: 0.97}  # <- NP301") or "leads_to: {rail_mising" in line
    assert line[caret.index("^") :].startswith("rail_mising")
    assert total.endswith("1 error. `nextprobe explain CODE` says more about each.")


def test_a_sound_pack_is_good(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["validate", "--strict", str(TESTS / "pack" / "sound")]) == 0
    assert "nothing to say against it" in capsys.readouterr().out


def test_warnings_count_only_when_strict(capsys: pytest.CaptureFixture[str]) -> None:
    path = str(BROKEN / "no-way-to-quote.yaml")
    assert main(["validate", path]) == 0
    assert main(["validate", path, "--strict"]) == 1


def test_json_is_a_list_of_findings(capsys: pytest.CaptureFixture[str]) -> None:
    paths = [str(BROKEN / name) for name in ("wrong-unit.yaml", "chances-off-one.yaml")]
    assert main(["validate", *paths, "--format", "json"]) == 1
    findings = json.loads(capsys.readouterr().out)
    assert [one["code"] for one in findings] == ["NP321", "NP324"]
    assert list(findings[0]) == ["code", "severity", "message", "help", "file", "line", "column", "path"]
    assert findings[0]["path"] == "measurements.rail.outcomes.absent.range"


def test_sarif(capsys: pytest.CaptureFixture[str]) -> None:
    # Names and levels: SARIF 2.1.0 (OASIS Standard), 3.27 result, 3.30 region, 3.49 rule.
    assert main(["validate", str(BROKEN / "wrong-unit.yaml"), "--format", "sarif"]) == 1
    log = json.loads(capsys.readouterr().out)
    assert log["version"] == "2.1.0"
    (run,) = log["runs"]
    (result,) = run["results"]
    rule = run["tool"]["driver"]["rules"][result["ruleIndex"]]
    assert rule == {"id": "NP321", "shortDescription": {"text": "A range that cannot be read"}}
    assert result["level"] == "error"
    region = result["locations"][0]["physicalLocation"]["region"]
    assert region["startLine"] > 1
    assert region["startColumn"] > 1


def test_a_pack_that_is_not_there_is_a_usage_error(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["validate", "no-such-pack"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith("nextprobe: There is no pack 'no-such-pack'.")


@pytest.mark.parametrize("ref", [*bundled_packs(), *bundled_boards()])
def test_what_is_bundled_has_no_error(ref: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["validate", ref]) == 0, capsys.readouterr().out


@pytest.mark.parametrize("name", ["cases.yaml", "demo.yaml"])
def test_files_beside_a_pack_can_be_named(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["validate", str(packs_dir() / "no-picture" / name)]) == 0, capsys.readouterr().out
