"""Every finding has its page, with the headings and examples that a page must have, and a test that shows it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nextprobe.pack import rules

ROOT = Path(__file__).parents[2]
PAGES = {page.stem: page.read_text("utf-8") for page in sorted((ROOT / "docs" / "findings").glob("NP*.md"))}
CODE = re.compile(r"\bNP\d{3}\b")
HEADINGS = ["## What", "## Why it matters", "## Example", "## Cure"]


def codes_in_code() -> set[str]:
    found = set()
    for path in (ROOT / "engine" / "nextprobe" / "pack").rglob("*.py"):
        text = path.read_text("utf-8")
        found |= set(re.findall(r'"(NP\d{3})"', text))
    return found | {rule.CODE for rule in (*rules.LOCAL, *rules.WHOLE)}


def test_every_code_has_a_page_and_every_page_a_code() -> None:
    assert set(PAGES) == codes_in_code()


@pytest.mark.parametrize("code", PAGES)
def test_a_page_has_its_headings_and_examples(code: str) -> None:
    text = PAGES[code]
    assert text.startswith(f"# {code}: ")
    assert [line for line in text.splitlines() if line.startswith("## ")] == HEADINGS
    assert text.count("```") == 4
    assert re.search(r"^Severity: (error|warning|info)$", text, re.M)


@pytest.mark.parametrize("rule", [*rules.LOCAL, *rules.WHOLE], ids=lambda rule: str(rule.CODE))
def test_a_page_says_what_its_rule_says(rule: rules.Rule) -> None:
    text = PAGES[rule.CODE]
    assert text.startswith(f"# {rule.CODE}: {rule.TITLE}\n")
    assert f"Severity: {rule.SEVERITY}\n" in text


def test_codes_are_used_once() -> None:
    codes = [rule.CODE for rule in (*rules.LOCAL, *rules.WHOLE)]
    assert len(codes) == len(set(codes))


def test_every_code_is_shown_by_a_test() -> None:
    shown = set()
    for path in [*(ROOT / "tests" / "broken").rglob("*.yaml"), *(ROOT / "tests" / "pack").glob("test_*.py")]:
        shown |= set(CODE.findall(path.read_bytes().decode("latin-1")))
    assert set(PAGES) - shown == set()
