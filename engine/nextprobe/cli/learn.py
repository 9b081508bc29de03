"""``nextprobe learn``: what the workshop's own records say of a pack's numbers; on request written into it."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from nextprobe.errors import NextprobeError, UsageError

if TYPE_CHECKING:
    from nextprobe.learn.write import Written
    from nextprobe.pack.pack import Pack

EPILOG = (
    "Learnt are: weights (Dirichlet), how often repairs work and readings are wrong (beta), minutes (log-normal, "
    "from the clock beside the steps), what good boards read (tolerance interval, ISO 16269-6). Every number starts "
    "from the pack's own, worth N earlier jobs; a chance is worth at least 5 trials, and weights that the records "
    "contradict count for fewer jobs. Jobs without a proven cause count for every cause by what their readings left "
    "open (expectation and maximisation). Numbers that came from records before are learnt anew from what stood "
    "before those: name a store that holds all jobs. --write changes the numbers in the pack's own folder, each "
    "with a source that keeps the number before; comments and order stay."
)


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``learn``."""
    parser.epilog = EPILOG
    parser.add_argument("pack", metavar="PACK", help="a bundled pack's id, a folder or a pack.yaml")
    parser.add_argument("--from", dest="store", metavar="STORE", help="a store's file or address (your own)")
    parser.add_argument("--worth", type=float, metavar="N", help="jobs the pack's numbers count for (50, or 2 a cause)")
    parser.add_argument("--rehearsals", action="store_true", help="learn from rehearsals too")
    parser.add_argument("--write", action="store_true", help="write what was learnt into the pack")
    parser.add_argument("--json", action="store_true", help="print the result for a program")


def run(args: argparse.Namespace) -> int:
    """Learn, print, and write where it is wished."""
    if args.worth is not None and not 0.1 <= args.worth <= 1e6:
        raise UsageError(f"--worth is {args.worth:g}.", "Give a number of jobs from 0.1 to 1000000.")
    from nextprobe.learn.before import before_records
    from nextprobe.learn.gather import gather
    from nextprobe.learn.learn import learn
    from nextprobe.pack.load import load_pack
    from nextprobe.record.store import open_store
    from nextprobe.resources import find_pack

    pack = before_records(load_pack(args.pack))
    if args.write:
        from nextprobe.learn.write import refuse_installed

        refuse_installed(find_pack(args.pack), args.pack)
    with open_store(address_of(args.store)) as store:
        gathered = gather(store, pack, rehearsals=args.rehearsals, say=_going_on)
    boards = {case.board for case in gathered.cases if case.board and case.good}
    learned = learn(pack, gathered, args.worth, sheets=_sheets(args.pack, boards))
    written: Written | None = None
    if args.write:
        from nextprobe.learn.write import write_learned

        written = write_learned(args.pack, learned)
    if args.json:
        said = {"files": list(written.files), "numbers": written.numbers, "left": written.left} if written else None
        print(json.dumps({**learned.as_dict(), "written": said}, ensure_ascii=False))
        return 0
    from nextprobe.learn.lines import learned_lines, left_lines

    for line in learned_lines(learned):
        print(line)
    if written is not None:
        print()
        print(
            f"Written: {written.numbers} numbers in {', '.join(written.files)}."
            if written.files
            else "Nothing to write."
        )
        for line in left_lines(written.left):
            print(line)
    return 0


def address_of(store: str | None) -> str | None:
    """The address that `store` means: one as it stands, or a file. Raises UsageError where there is no such file."""
    if store is None or "://" in store:
        return store
    path = Path(store)
    try:
        found = path.is_file()
    except (OSError, ValueError):
        found = False
    if not found:
        raise UsageError(
            f"There is no store {store!r}.", "Name the file of a store, or its address as sqlite:///jobs.db."
        )
    return f"sqlite:///{path.absolute()}"


def _sheets(pack: str, boards: Iterable[str]) -> dict[str, Pack]:
    """The pack on each board that has a sheet here."""
    from nextprobe.pack.load import load_pack

    found = {}
    for board in boards:
        with suppress(NextprobeError):
            found[board] = load_pack(pack, board)
    return found


def _going_on(done: int, of: int) -> None:
    """Say on a terminal how many jobs are through, where there are many."""
    if of > 500 and done % 100 == 0 and sys.stderr is not None and sys.stderr.isatty():
        print(f"\r{done} of {of} jobs", end="", file=sys.stderr, flush=True)
