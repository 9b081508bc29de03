"""``nextprobe store``: the whole store into one file, and back."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from nextprobe.said import plain

if TYPE_CHECKING:
    from nextprobe.record.backup import Copied


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's actions, each with its own arguments."""
    actions = parser.add_subparsers(title="actions", dest="action", metavar="action", required=True)
    for name, line, replace in (
        ("backup", "copy the whole store into a file, while others write", "write over FILE"),
        ("restore", "put a backup into the store", "in place of the jobs that are in the store"),
    ):
        about = f"{line[:1].upper()}{line[1:]}."
        sub = actions.add_parser(name, help=line, description=about, allow_abbrev=False)
        sub.add_argument("file", metavar="FILE", help="the backup: a file of SQLite, whatever the store lies in")
        sub.add_argument("--replace", action="store_true", help=replace)


def run(args: argparse.Namespace) -> int:
    """Do it; 1 when a record in the backup is not sound, which is restored as it is all the same."""
    file = Path(args.file)
    return _restore(file, args.replace) if args.action == "restore" else _backup(file, args.replace)


def _backup(file: Path, replace: bool) -> int:
    from nextprobe.record.backup import back_up
    from nextprobe.record.store import open_database

    database = open_database()
    try:
        copied = back_up(database, file, replace=replace)
    finally:
        database.close()
    print(f"Now in '{file}': {_what(copied)} of {database.place}.")
    return 0


def _restore(file: Path, replace: bool) -> int:
    from nextprobe.record.backup import restore, unpacked
    from nextprobe.record.make_room import open_target

    with unpacked(file) as backup:
        target, kept = open_target(replace)
        try:
            copied = restore(backup, target, replace=replace)
        finally:
            target.close()
    if kept is not None:
        print(f"The damaged store was moved to '{kept}'.")
    print(f"Now in {target.place}: {_what(copied)} of '{file}'.")
    for job, said in copied.problems:
        print(plain(f"{job}: {said}"))
    return 1 if copied.problems else 0


def _what(copied: Copied) -> str:
    jobs = "1 job" if copied.jobs == 1 else f"{copied.jobs} jobs"
    return f"{jobs} with {'1 event' if copied.events == 1 else f'{copied.events} events'}"
