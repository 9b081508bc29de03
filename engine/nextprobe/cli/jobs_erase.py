"""``nextprobe jobs erase-names``: names of owner and technician taken out; the record stays sound."""

from __future__ import annotations

import argparse

from nextprobe.cli.jobs_export import chosen


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``jobs erase-names``."""
    parser.add_argument("job", nargs="+", metavar="JOB", help="a job's id, or its beginning or end")


def run(args: argparse.Namespace) -> int:
    """Erase the names kept with the jobs, and say whose."""
    from nextprobe.record.store import open_store

    with open_store() as store:
        for job in chosen(store, args.job):
            roles = store.erase_names(job.id)
            print(f"{job.id}: erased: {', '.join(roles)}." if roles else f"{job.id}: no names were kept.")
    print("What was typed as a note stays in the record: it is part of the chain. Backups and exports keep theirs.")
    return 0
