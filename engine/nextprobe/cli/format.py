"""``nextprobe format PACK...``: lays out a pack's files in one way, without a change of what they say."""

from __future__ import annotations

import argparse
from pathlib import Path

from nextprobe.errors import UsageError
from nextprobe.resources import find_board, find_pack


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``format``."""
    parser.add_argument(
        "packs", nargs="+", metavar="PACK", help="a bundled id, a pack's folder, or the path of a pack or other file"
    )
    parser.add_argument("--check", action="store_true", help="write nothing; say which files would change")
    parser.add_argument("--diff", action="store_true", help="write nothing; print what would change")


def run(args: argparse.Namespace) -> int:
    """Lay the files out; with --check or --diff: 1 when one of them would change."""
    from nextprobe.pack.format_files import lay_out, write

    files = lay_out([_path(ref) for ref in args.packs])
    changed = [one for one in files if one.changed]
    dry = args.check or args.diff
    for one in changed:
        if args.diff:
            print(_diff(one.before, one.after, one.shown), end="")
        elif dry:
            print(f"{one.shown}: would change")
        else:
            write(one)
            print(f"{one.shown}: laid out")
    if not args.diff:
        same = len(files) - len(changed)
        print(f"{_files(len(changed))} {'would change' if dry else 'changed'}, {_files(same)} left as they are.")
    return 1 if dry and changed else 0


def _path(ref: str) -> Path:
    try:
        return find_pack(ref)
    except UsageError as unknown:
        try:
            return find_board(ref)
        except UsageError:
            raise unknown from None


def _files(count: int) -> str:
    return f"{count} file" if count == 1 else f"{count} files"


def _diff(before: str, after: str, name: str) -> str:
    from difflib import unified_diff

    lines = unified_diff(before.splitlines(True), after.splitlines(True), name, f"{name} laid out")
    return "".join(line if line.endswith("\n") else f"{line}\n" for line in lines)
