"""``nextprobe study``: what a pack can and cannot find, in figures; its own cases; in text, JSON or one HTML page."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from nextprobe.cli.planning import Progress, interruptible
from nextprobe.cli.written import write_file
from nextprobe.errors import UsageError

if TYPE_CHECKING:
    from nextprobe.study.study import Study

EPILOG = (
    "Minutes are bench minutes, with parts, risk and waiting at the pack's rates, for one fault at a time. They are "
    "exact for the plan that is studied; --seconds plans for so long instead of to a fixed depth, which is the same "
    "on every machine. --jobs simulates jobs that are planned anew at every step, with standard errors; the same seed "
    "gives the same jobs, whatever the workers. Ctrl-C gives what there is so far. Exit code 1: a case "
    "failed; with --versus: one that held does not any more."
)


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``study``."""
    parser.epilog = EPILOG
    parser.add_argument("pack", metavar="PACK", help="a bundled pack's id, a folder or a pack.yaml")
    parser.add_argument("--board", metavar="B", help="the board sheet of the machine")
    parser.add_argument("--symptom", metavar="S", help="what the owner reports (the pack's first where not given)")
    parser.add_argument("--without", metavar="ID,…", help="instruments and skills that are not here")
    parser.add_argument("--seconds", type=float, metavar="N", help="plan for so long")
    parser.add_argument("--jobs", type=int, default=0, metavar="N", help="jobs to simulate (none)")
    parser.add_argument("--seed", type=int, default=0, metavar="S", help="of the simulated jobs (0)")
    parser.add_argument("--workers", type=int, metavar="W", help="processes to share the work (this machine's cores)")
    parser.add_argument("--doubts", action="store_true", help="how much each doubtful number matters")
    parser.add_argument("--versus", metavar="OLD", help="instead: an older version and this one side by side")
    parser.add_argument("--json", action="store_true", help="print the result for a program")
    parser.add_argument("--html", metavar="FILE", help="write the result as one page")


def run(args: argparse.Namespace) -> int:
    """Study the pack; 1 when one of its cases fails."""
    page = _checked(args)

    from nextprobe.one_core import one_core

    one_core()

    from nextprobe.study.study import make_study

    lacks = [part.strip() for part in (args.without or "").split(",") if part.strip()]
    if args.versus is not None:
        return _compare(args, lacks)
    progress = _Progress(None)
    with interruptible() as pressed, progress:
        study = make_study(
            args.pack,
            board=args.board,
            symptom=args.symptom,
            lacks=lacks,
            seconds=args.seconds,
            jobs=args.jobs,
            seed=args.seed,
            workers=args.workers,
            doubted=args.doubts,
            cancel=pressed,
            say=progress.jobs,
            say_doubts=progress.numbers,
        )
    if page is not None:
        _write(page, study)
    if args.json:
        print(json.dumps(study.as_dict(), ensure_ascii=False))
    else:
        _print(study, args.html)
    return 1 if study.failed else 0


def _compare(args: argparse.Namespace, lacks: list[str]) -> int:
    """Two versions side by side; 1 when a case that held does not any more."""
    from nextprobe.study.versions import as_json, lines, versions

    with interruptible() as pressed, Progress(None):
        found = versions(
            args.versus,
            args.pack,
            board=args.board,
            symptom=args.symptom,
            lacks=lacks,
            seconds=args.seconds,
            workers=args.workers,
            cancel=pressed,
        )
    if args.json:
        print(json.dumps({"pack": args.pack, "versus": args.versus, **as_json(found)}, ensure_ascii=False))
    else:
        for line in lines(found):
            print(line)
    return 1 if found.lost else 0


class _Progress(Progress):
    """What a study shows while it goes on."""

    def numbers(self, done: int, of: int) -> None:
        """How many doubtful numbers are told."""
        self._said, self._end = f"{done} of {of} doubtful numbers", None


def _print(study: Study, page: str | None) -> None:
    from nextprobe.study.lines import lines

    for line in lines(study):
        print(line)
    if page is not None:
        print(f"\nWritten: {page}")


def _checked(args: argparse.Namespace) -> Path | None:
    """Where to write the page, known to be possible before any time is spent; refuses figures that mean nothing."""
    if args.seconds is not None and not args.seconds >= 0:
        raise UsageError(f"--seconds is {args.seconds}.", "Give 0 or more.")
    if args.jobs < 0:
        raise UsageError(f"--jobs is {args.jobs}.", "Give 0 or more.")
    if args.seed < 0:
        raise UsageError(f"--seed is {args.seed}.", "Give 0 or more.")
    if args.workers is not None and args.workers < 1:
        raise UsageError(f"--workers is {args.workers}.", "Give 1 or more.")
    alone = [name for name, value in (("--html", args.html), ("--jobs", args.jobs), ("--doubts", args.doubts)) if value]
    if args.versus is not None and alone:
        raise UsageError(f"--versus compares and studies nothing else: {', '.join(alone)}.", "Leave one of them out.")
    if args.html is None:
        return None
    path = Path(args.html)
    try:
        if not path.absolute().parent.is_dir():
            raise UsageError(f"There is no folder for {args.html!r}.", "Make it first, or name another.")
    except ValueError:
        raise UsageError(f"No file can be called {args.html!r}.", "Name another.") from None
    return path


def _write(path: Path, study: Study) -> None:
    from datetime import date

    from nextprobe.study.page import page

    write_file(str(path), page(study, date.today()))
