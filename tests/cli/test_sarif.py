"""SARIF logs against the schema that OASIS publishes with SARIF 2.1.0, and what the standard says beside it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import pytest
from jsonschema import Draft4Validator

from nextprobe.cli.main import main
from nextprobe.cli.sarif import as_sarif
from nextprobe.errors import Finding

TESTS = Path(__file__).parent.parent
SCHEMA = json.loads((TESTS / "sarif" / "sarif-schema-2.1.0.json").read_text("utf-8"))
FILE = "my packs/Prüf plätze/50 %.yaml"
ODD = Finding("NP301", "warning", "No `{x}` here.", "Write `{all: [a]}`.", FILE, 3, 7, "a.b[0]")


def checked(log: dict[str, Any]) -> dict[str, Any]:
    Draft4Validator.check_schema(SCHEMA)
    assert [error.message for error in Draft4Validator(SCHEMA).iter_errors(log)] == []
    return log


def test_the_schema_would_say_no() -> None:
    log = as_sarif([ODD])
    log["runs"][0]["results"][0]["level"] = "bad"
    log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["region"]["startLine"] = 0
    assert len(list(Draft4Validator(SCHEMA).iter_errors(log))) == 2


def test_nothing_found_is_a_log_without_results() -> None:
    assert checked(as_sarif([]))["runs"][0]["results"] == []


@pytest.mark.parametrize(("severity", "level"), [("error", "error"), ("warning", "warning"), ("info", "note")])
def test_each_severity_has_its_level(severity: str, level: str) -> None:
    # 3.27.10: the levels are none, note, warning and error.
    (result,) = checked(as_sarif([Finding("NP301", severity, "No.", "Do.", "a.yaml", 1, 1)]))["runs"][0]["results"]
    assert result["level"] == level


def test_spaces_and_letters_of_a_path_are_encoded() -> None:
    # 3.4.3: `uri` is a URI reference by RFC 3986.
    (result,) = checked(as_sarif([ODD]))["runs"][0]["results"]
    uri = result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert uri == "my%20packs/Pr%C3%BCf%20pl%C3%A4tze/50%20%25.yaml"
    assert unquote(urlsplit(uri).path) == FILE


def test_an_absolute_path_is_a_file_address(tmp_path: Path) -> None:
    file = tmp_path / "my pack.yaml"
    (result,) = checked(as_sarif([Finding("NP301", "error", "No.", "", str(file), 1, 1)]))["runs"][0]["results"]
    uri = urlsplit(result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"])
    assert uri.scheme == "file"
    assert unquote(uri.path).endswith("/my pack.yaml")


def test_braces_are_no_placeholders() -> None:
    # 3.11.5: braces of a message are doubled.
    (result,) = checked(as_sarif([ODD]))["runs"][0]["results"]
    assert result["message"]["text"] == "No `{{x}}` here. Write `{{all: [a]}}`."


def test_a_finding_without_a_place_has_no_region() -> None:
    found = [Finding("NP101", "error", "No.", "", "a.yaml"), Finding("NP101", "error", "No.", "")]
    with_file, without = checked(as_sarif(found))["runs"][0]["results"]
    assert "region" not in with_file["locations"][0]["physicalLocation"]
    assert "locations" not in without


def test_real_findings_of_every_kind(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NEXTPROBE_CACHE", "")
    folder = tmp_path / "with a space, ü"
    shutil.copytree(TESTS / "broken", folder)
    monkeypatch.chdir(tmp_path)
    paths = sorted(folder.relative_to(tmp_path).glob("*.yaml"))
    assert main(["validate", *(str(path) for path in paths), "--format", "sarif"]) == 1
    run = checked(json.loads(capsys.readouterr().out))["runs"][0]
    assert len(run["results"]) >= len(paths) // 2
    for result in run["results"]:
        assert run["tool"]["driver"]["rules"][result["ruleIndex"]]["id"] == result["ruleId"]
        uri = result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
        assert uri.startswith("with%20a%20space%2C%20%C3%BC/")
        assert (tmp_path / unquote(uri)).is_file()
