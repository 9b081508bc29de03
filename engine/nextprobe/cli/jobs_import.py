"""``nextprobe jobs import``: jobs from another machine, all of them checked before one is taken."""

from __future__ import annotations

import argparse
import sys

from nextprobe.cli.jobs_export import going_on, opened
from nextprobe.errors import UsageError


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``jobs import``."""
    parser.add_argument("file", metavar="FILE", help="what `nextprobe jobs export` wrote; - for what is piped in")


def run(args: argparse.Namespace) -> int:
    """Take the jobs in; 1 and nothing taken where one of them is not as it was written."""
    with opened(args.file) as stream:
        try:
            text = stream.read()
        except OSError as error:
            raise UsageError(f"{args.file!r} cannot be read: {error.strerror or error}.", "Check its name.") from None
    from nextprobe.interchange.job_check import problems
    from nextprobe.interchange.job_lines_read import read_jobs
    from nextprobe.interchange.job_take import take
    from nextprobe.record.store import open_store

    parcel = read_jobs(text, args.file)
    found = problems(parcel, lambda done: going_on(done, len(parcel.jobs)))
    if found:
        for job, said in found:
            print(f"{job or args.file}: {said}")
        print("Nothing was taken. Export the jobs again where they are.", file=sys.stderr)
        return 1
    with open_store() as store:
        for job, said in take(store, parcel):
            print(f"{job}: {said}")
    return 0
