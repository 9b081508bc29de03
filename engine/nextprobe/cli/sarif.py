"""Findings as a SARIF 2.1.0 log (OASIS Standard, 2020), which editors and code hosts can show."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath
from typing import Any
from urllib.parse import quote

from nextprobe.errors import Finding
from nextprobe.resources import data_dir
from nextprobe.version import __version__

_LEVELS = {"error": "error", "warning": "warning", "info": "note"}


def as_sarif(findings: Sequence[Finding]) -> dict[str, Any]:
    """One run with one result a finding."""
    codes = sorted({one.code for one in findings})
    return {
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": [
            {
                "tool": {
                    "driver": {"name": "nextprobe", "version": __version__, "rules": [_rule(code) for code in codes]}
                },
                "columnKind": "unicodeCodePoints",
                "results": [_result(one, codes) for one in findings],
            }
        ],
    }


def _rule(code: str) -> dict[str, Any]:
    page = data_dir("docs") / "findings" / f"{code}.md"
    try:
        first = page.read_text("utf-8").splitlines()[0]
    except (OSError, IndexError):
        first = code
    title = first.lstrip("# ").removeprefix(code).lstrip(": ")
    return {"id": code, "shortDescription": {"text": title or code}}


def _result(finding: Finding, codes: Sequence[str]) -> dict[str, Any]:
    location: dict[str, Any] = {}
    if finding.file:
        place: dict[str, Any] = {"artifactLocation": {"uri": _uri(finding.file)}}
        if finding.line > 0:
            place["region"] = {"startLine": finding.line, "startColumn": max(1, finding.column)}
        location["physicalLocation"] = place
    if finding.path:
        location["logicalLocations"] = [{"fullyQualifiedName": finding.path}]
    result = {
        "ruleId": finding.code,
        "ruleIndex": codes.index(finding.code),
        "level": _LEVELS.get(finding.severity, "warning"),
        "message": {"text": _message(f"{finding.message} {finding.help}".strip())},
    }
    return {**result, "locations": [location]} if location else result


def _uri(file: str) -> str:
    """A file's name as a URI reference (RFC 3986; SARIF 2.1.0, 3.4.3): whole for an absolute path, else relative."""
    path = PurePath(file)
    return path.as_uri() if path.is_absolute() else quote(path.as_posix())


def _message(text: str) -> str:
    """Text in which braces are braces and no placeholders (SARIF 2.1.0, 3.11.5)."""
    return text.replace("{", "{{").replace("}", "}}")
