"""``nextprobe explain CODE``: the page on a finding, or the list of all of them."""

from __future__ import annotations

import argparse
from pathlib import Path

from nextprobe.errors import UsageError
from nextprobe.resources import data_dir


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.add_argument("code", nargs="?", metavar="CODE", help="the code of a finding; without one, all are listed")


def run(args: argparse.Namespace) -> int:
    """Print the page of a code, or every code with its title; the exit code."""
    folder = data_dir("docs") / "findings"
    pages = {page.stem.upper(): page for page in sorted(folder.glob("NP*.md"))}
    if args.code is None:
        for code, page in pages.items():
            print(f"{code}  {_title(code, page)}")
        return 0
    code = args.code.strip().upper()
    if code not in pages:
        raise UsageError(f"There is no finding {args.code!r}.", _instead(code, list(pages)))
    print(pages[code].read_text(encoding="utf-8").rstrip())
    return 0


def _title(code: str, page: Path) -> str:
    """The page's first heading without the code that may lead it."""
    for line in page.read_text(encoding="utf-8").splitlines():
        if line.startswith("# "):
            return line[2:].strip().removeprefix(code).lstrip(" :–—-")
    return ""


def _instead(code: str, known: list[str]) -> str:
    from difflib import get_close_matches

    near = get_close_matches(code, known, n=3)
    rest = "`nextprobe explain` lists them all."
    return f"Did you mean {' or '.join(near)}? {rest}" if near else rest
