"""``nextprobe validate PACK...``: everything there is to say about packs, sheets, lessons, case and shop files."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from pathlib import Path

from nextprobe.errors import Finding, UsageError
from nextprobe.resources import find_board, find_lesson, find_pack


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.add_argument(
        "packs", nargs="+", metavar="PACK", help="a bundled id, or the path of a pack, sheet, lesson, case or shop file"
    )
    parser.add_argument(
        "--format", choices=("text", "json", "sarif"), default="text", help="how to print (default: text)"
    )
    parser.add_argument(
        "--watch", action="store_true", help="check again at every save, and say what that changed; Ctrl-C ends it"
    )
    parser.add_argument("--strict", action="store_true", help="warnings and infos count as errors for the exit code")


def run(args: argparse.Namespace) -> int:
    """Print all findings; 0 when there is no error (with --strict: no finding), else 1."""
    from nextprobe.pack.cache import validate_source

    if args.watch:
        from nextprobe.cli.watch import watch

        if args.format != "text":
            raise UsageError("A watch prints text only.", "Leave out --watch, or --format.")
        return exit_code(watch([(ref, _path(ref)) for ref in args.packs]), strict=args.strict)
    found: dict[str, list[Finding]] = {}
    for ref in args.packs:
        found[ref] = list(validate_source(_path(ref)).findings)
    # A sheet that two of the packs share is said once.
    findings = list(dict.fromkeys(one for listed in found.values() for one in listed))
    if args.format == "json":
        print(json.dumps([one.as_dict() for one in findings], ensure_ascii=False, indent=2))
    elif args.format == "sarif":
        from nextprobe.cli.sarif import as_sarif

        print(json.dumps(as_sarif(findings), ensure_ascii=False, indent=2))
    else:
        for one in findings:
            print(as_text(one))
        for ref, listed in found.items():
            print(f"{ref}: {summary(listed)}")
    return exit_code(findings, strict=args.strict)


def exit_code(findings: Sequence[Finding], *, strict: bool) -> int:
    """1 when there is an error (with `strict`: any finding), else 0."""
    return 1 if any(strict or one.severity == "error" for one in findings) else 0


def _path(ref: str) -> Path:
    try:
        return find_pack(ref)
    except UsageError as unknown:
        for find in (find_board, find_lesson):
            try:
                return find(ref)
            except UsageError:
                continue
        raise unknown from None


def as_text(finding: Finding) -> str:
    """A finding for a person: where, what, what to do, and the line with a caret below the place."""
    place = ":".join(str(part) for part in (finding.file, finding.line, finding.column) if part)
    lines = [f"{place}: {finding.severity} {finding.code}: {finding.message}"]
    if finding.help:
        lines.append(f"    {finding.help}")
    text = _line(finding)
    if text is not None:
        number = str(finding.line)
        lines.append(f"    {number} | {text}")
        lines.append(f"    {' ' * len(number)} | {_blank(text[: finding.column - 1])}^")
    return "\n".join(lines)


def _line(finding: Finding) -> str | None:
    """The line a finding is about, as it stands in the file."""
    if finding.line < 1:
        return None
    try:
        text = Path(finding.file).read_text("utf-8-sig", errors="replace")
    except OSError:
        return None
    lines = text.splitlines()
    found = lines[finding.line - 1].rstrip() if finding.line <= len(lines) else ""
    return found if found and found.isprintable() and len(found) <= 200 else None


def _blank(text: str) -> str:
    return "".join("\t" if letter == "\t" else " " for letter in text)


def summary(findings: Sequence[Finding]) -> str:
    """How many of each severity, in words."""
    if not findings:
        return "nothing to say against it."
    parts = []
    for severity, word in (("error", "error"), ("warning", "warning"), ("info", "remark")):
        count = sum(one.severity == severity for one in findings)
        if count:
            parts.append(f"{count} {word}{'s' if count > 1 else ''}")
    return ", ".join(parts) + ". `nextprobe explain CODE` says more about each."
