"""Every finding has its page, with the headings and examples that a page must have, and a test that shows it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nextprobe.pack import rules
from nextprobe.pack.source import read_yaml

ROOT = Path(__file__).parents[2]
PAGES = {page.stem: page.read_text("utf-8") for page in sorted((ROOT / "docs" / "findings").glob("NP*.md"))}
CODE = re.compile(r"\bNP\d{3}\b")
HEADINGS = ["## What", "## Why it matters", "## Example", "## Cure"]
#: The last resort of the schema; every keyword that our schemas use has words of its own.
NEVER_SEEN = {"NP209"}


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
    assert set(PAGES) - shown - NEVER_SEEN == set()


def blocks(code: str) -> list[str]:
    return re.findall(r"```yaml\n(.*?)```", PAGES[code], re.S)


@pytest.mark.parametrize("code", [code for code in PAGES if blocks(code)])
def test_the_cure_reads_and_the_example_shows_the_fault(code: str) -> None:
    example, cure = blocks(code)
    assert read_yaml("page.yaml", cure).findings == []
    reading = [one.code for one in read_yaml("page.yaml", example).findings]
    if "NP105" <= code <= "NP115":
        assert set(reading) == {code}
    elif code != "NP102":
        assert reading == []
