"""``nextprobe jobs export``: jobs as one file for another machine, or finished ones as open repair data."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from nextprobe.errors import UsageError

if TYPE_CHECKING:
    from nextprobe.record import Job
    from nextprobe.record.store import Store

FORMATS = ("ords",)
#: More jobs than these take long enough to be counted on the way.
MANY = 5


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``jobs export``."""
    parser.add_argument("job", nargs="*", metavar="JOB", help="a job's id, or its beginning or end")
    parser.add_argument("--all", action="store_true", help="all jobs")
    parser.add_argument("-o", "--output", metavar="FILE", help="write to FILE, in place of the terminal")
    parser.add_argument("--without-names", action="store_true", help="leave out who owns the machine and who worked")
    parser.add_argument(
        "--to",
        nargs=2,
        metavar=("FORMAT", "FILE"),
        help="`--to ords FILE.csv`: finished jobs in the Open Repair Data Standard 0.3, without names; "
        "all finished jobs where none is named",
    )
    parser.add_argument("--country", metavar="ABC", help="with --to ords: where it was repaired, as in ISO 3166, DEU")
    parser.add_argument("--provider", metavar="NAME", help="with --to ords: who publishes the data")
    parser.add_argument(
        "--category", metavar="NAME", help="with --to ords: one of the product categories of the standard"
    )


def run(args: argparse.Namespace) -> int:
    """Write the file; 0, or an error before anything is written."""
    if args.to is not None:
        return _open_data(args)
    for option in ("country", "provider", "category"):
        if getattr(args, option) is not None:
            raise UsageError(f"--{option} belongs to --to ords.", "Leave it out.")
    if bool(args.job) == args.all:
        raise UsageError("Which jobs?", "Name one or more, or give --all.")
    from nextprobe.interchange.job_lines import job_lines
    from nextprobe.record.store import open_store

    with open_store() as store:
        jobs = chosen(store, args.job) if args.job else store.jobs()
        if not jobs:
            raise UsageError(f"There are no jobs yet in {store.place}.", "Start one: `nextprobe walk PACK`.")
        lines = job_lines(store, jobs, names=not args.without_names)
        _write(args.output, _counted(lines, len(jobs)) if args.output is not None else lines)
    if args.output is not None:
        _said(f"Written: {args.output}, {_count(len(jobs))}{', without names' if args.without_names else ''}.")
    return 0


def chosen(store: Store, typed: Iterable[str]) -> list[Job]:
    """The jobs that were named, each once. Raises StoreError for a name that fits none or several."""
    return list({job.id: job for job in (store.job(one) for one in typed)}.values())


def _open_data(args: argparse.Namespace) -> int:
    to, file = args.to
    if to not in FORMATS:
        raise UsageError(f"There is no format {to!r}.", f"Formats: {', '.join(FORMATS)}.")
    if args.output is not None or args.without_names or args.all:
        raise UsageError("--to names its own file, takes all finished jobs and holds no names.", "Leave the rest out.")
    from nextprobe.interchange.ords import WANTED, ords_rows, ords_text
    from nextprobe.record.store import open_store

    with open_store() as store:
        jobs = chosen(store, args.job) if args.job else store.jobs()
        open_ones = [job.id for job in jobs if job.state != "ended"]
        if args.job and open_ones:
            raise UsageError(f"Job {open_ones[0]} has not ended.", "Open repair data holds finished jobs.")
        rows = ords_rows(
            store,
            [job for job in jobs if job.state == "ended"],
            country=args.country or "",
            provider=args.provider or "",
            category=args.category or "",
        )
    _write(file, ords_text(rows).splitlines())
    _said(f"Written: {file}, finished: {_count(len(rows))}, without names.")
    for option, why in WANTED.items():
        if not getattr(args, option):
            _said(f"Without --{option}: {why}")
    return 0


def _counted(lines: Iterable[str], of: int) -> Iterator[str]:
    """The same lines, while it is said how many jobs are through."""
    done = 0
    for line in lines:
        if line.startswith('{"job"'):
            done += 1
            going_on(done, of)
        yield line


def going_on(done: int, of: int) -> None:
    """Say on a terminal how many jobs are through, where there are many."""
    if of > MANY and sys.stderr is not None and sys.stderr.isatty():
        print(f"\r{done} of {of} jobs", end="\n" if done == of else "", file=sys.stderr, flush=True)


def _write(path: str | None, lines: Iterable[str]) -> None:
    """All lines into the file at `path`, which is made whole or not at all; None: the terminal."""
    if path is None:
        for line in lines:
            print(line)
        return
    text = "".join(f"{line}\n" for line in lines)
    # A half file must not stand where a whole one is looked for.
    beside = Path(f"{path}.part")
    try:
        try:
            beside.write_text(text, encoding="utf-8", newline="\n")
            beside.replace(path)
        except OSError:
            beside.unlink(missing_ok=True)
            raise
    except (OSError, ValueError) as error:
        raise UsageError(
            f"{path!r} cannot be written: {getattr(error, 'strerror', None) or error}.", "Name another file."
        ) from None


def opened(path: str) -> nullcontext[TextIO] | TextIO:
    """The file at `path` to be read; ``-``: what is piped in. Raises UsageError."""
    if path == "-":
        return nullcontext(sys.stdin)
    try:
        return Path(path).open(encoding="utf-8", errors="surrogateescape", newline="")
    except (OSError, ValueError) as error:
        raise UsageError(
            f"{path!r} cannot be read: {getattr(error, 'strerror', None) or error}.", "Check its name."
        ) from None


def _count(number: int) -> str:
    return f"{number} {'job' if number == 1 else 'jobs'}"


def _said(text: str) -> None:
    print(text, file=sys.stderr)
