"""``nextprobe review``: a job beside what the engine would have asked, or many jobs together."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from contextlib import contextmanager
from time import monotonic
from typing import TYPE_CHECKING

from nextprobe.cli.written import write_file
from nextprobe.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from nextprobe.record import Job
    from nextprobe.record.store import Store

#: Seconds that a review may take where none are given.
PATIENCE = 50.0


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``review``."""
    parser.add_argument("job", nargs="?", metavar="JOB", help="a job's id, or its beginning or end")
    parser.add_argument("--all", action="store_true", help="many jobs: by person, pack and step, where the minutes go")
    parser.add_argument("--person", metavar="P", help="with --all: only jobs of this technician")
    parser.add_argument("--pack", metavar="X", help="with --all: only jobs in the pack with this id")
    parser.add_argument("--rehearsals", action="store_true", help="with --all: those on simulated machines instead")
    parser.add_argument("--note", nargs=2, metavar=("STEP", "TEXT"), help="keep a trainer's note (STEP 0: the job)")
    parser.add_argument("--trainer", metavar="NAME", help="who the note is from")
    parser.add_argument("--seconds", type=float, default=PATIENCE, metavar="N", help="at most about so long (50)")
    how = parser.add_mutually_exclusive_group()
    how.add_argument("--json", action="store_true", help="print data for a program; names with --all only")
    how.add_argument("--html", metavar="FILE", help="write one page for A4 paper, with a time line")


def run(args: argparse.Namespace) -> int:
    """Print or write the review; 1 where a record is not sound. Ctrl-C gives what there is."""
    if args.all == bool(args.job):
        raise UsageError("Name one job, or give --all.", "`nextprobe jobs list` shows them.")
    if not args.all and (args.person or args.pack or args.rehearsals):
        raise UsageError("--person, --pack and --rehearsals go with --all.", "Leave them out, or give --all.")
    if args.all and (args.note or args.html):
        raise UsageError("--note and --html go with one job.", "Name the job in place of --all.")
    if not args.seconds >= 0:
        raise UsageError(f"--seconds is {args.seconds}.", "Give 0 or more.")
    if bool(args.note) != bool(args.trainer):
        raise UsageError("A note needs its text and who it is from.", "Give --note STEP TEXT --trainer NAME.")
    from nextprobe.record.store import open_store

    with open_store() as store:
        if args.all:
            return _many(store, args)
        job = store.job(args.job)
        if args.note:
            return _note(store, job, args)
        return _one(store, job, args)


def _note(store: Store, job: Job, args: argparse.Namespace) -> int:
    from nextprobe.review.notes import add_note

    number, text = args.note
    if not (number.isascii() and number.isdigit()):
        raise UsageError(f"{number!r} is no step.", "Give its number, as the review shows it; 0 for the whole job.")
    add_note(store, job, int(number), text, args.trainer)
    print(f"Kept with job {job.id}, {'step ' + number if int(number) else 'on the job as a whole'}.")
    return 0


def _one(store: Store, job: Job, args: argparse.Namespace) -> int:
    from nextprobe.review.make import make_review

    with _watched(args.seconds, "events") as (cancel, say):
        review = make_review(store, job, cancel=cancel, say=say)
    if args.json:
        from nextprobe.review.data import as_data

        print(json.dumps(as_data(review), indent=2, ensure_ascii=False))
    elif args.html is not None:
        from nextprobe.review.page import page

        write_file(args.html, page(review))
        print(f"Written: {args.html}")
    else:
        from nextprobe.review.lines import review_lines

        for line in review_lines(review):
            print(line)
    return 1 if review.broken else 0


def _many(store: Store, args: argparse.Namespace) -> int:
    from nextprobe.review.many import review_many

    with _watched(args.seconds, "jobs") as (cancel, say):
        many = review_many(
            store, person=args.person, pack=args.pack, rehearsals=args.rehearsals, cancel=cancel, say=say
        )
    if args.json:
        print(json.dumps(many.as_data(), indent=2, ensure_ascii=False))
    else:
        from nextprobe.review.many_lines import many_lines

        for line in many_lines(many):
            print(line)
    return 1 if many.broken else 0


@contextmanager
def _watched(seconds: float, what: str) -> Iterator[tuple[Callable[[], bool], Callable[[int, int], None]]]:
    """Whether to stop (Ctrl-C, or the time is over), and what to call with how far it got."""
    from nextprobe.cli.planning import Progress, interruptible

    end = monotonic() + seconds
    with interruptible() as interrupt, Progress(seconds) as progress:

        def say(done: int, of: int) -> None:
            progress.say(f"{done} of {of} {what}")

        yield (lambda: interrupt() or monotonic() >= end), say
