"""A report as plain lines, 79 columns wide."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.report import words
from nextprobe.report.report import Measured, Report
from nextprobe.said import fold


def report_lines(report: Report) -> Iterator[str]:
    """The lines, in the order of the report."""
    head = words.title(report)
    yield head
    yield "=" * len(head)
    for warning in words.warnings(report):
        yield from fold(warning, "! ")
    for word, text in words.facts(report):
        yield from fold(text, f"{word + ':':<13}")
    for section in words.before(report):
        yield from _section(section)
    if report.measured:
        yield ""
        yield "Measured"
        for one in report.measured:
            yield from _measured(one, report)
        for rule in words.rules_words(report):
            yield from fold(rule, "  ")
    for section in words.behind(report):
        yield from _section(section)
    yield ""
    yield from fold(words.SAFE)
    yield ""
    yield "Date ______________  Technician ________________  Owner ____________________"


def _section(section: words.Section) -> Iterator[str]:
    yield ""
    yield section.head.upper() if section.strong else section.head
    for line in section.lines:
        yield from fold(line, "- ")


def _measured(one: Measured, report: Report) -> Iterator[str]:
    doubt = f" (U = {one.expanded})" if one.expanded else ""
    yield from fold(f"{one.title}: {one.shown}{doubt}: {words.statement_words(one)}", "- ")
    yield from fold(f"Limits: {words.limits_words(one)}. {words.meter_words(one)}.", "  ")
    if where := words.where_words(one, report):
        yield from fold(f"Where: {where}", "  ")
    if one.behind:
        yield from fold(f"After: {one.behind}", "  ")
