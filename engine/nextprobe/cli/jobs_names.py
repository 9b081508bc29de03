"""``nextprobe jobs set-names`` and ``erase-names``: who owns the machine and who worked, apart from the record."""

from __future__ import annotations

import argparse

from nextprobe.cli.jobs_export import chosen
from nextprobe.errors import UsageError
from nextprobe.said import plain

ROLES = ("owner", "technician")


def configure_set(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``jobs set-names``."""
    parser.add_argument("job", metavar="JOB", help="a job's id, or its beginning or end")
    parser.add_argument("--owner", metavar="NAME", help="whose machine it is")
    parser.add_argument("--technician", metavar="NAME", help="who works or worked on it")


def configure_erase(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``jobs erase-names``."""
    parser.add_argument("job", nargs="+", metavar="JOB", help="a job's id, or its beginning or end")


def run_set(args: argparse.Namespace) -> int:
    """Keep the names given; the report prints them."""
    given = {role: plain(getattr(args, role)) for role in ROLES if getattr(args, role) is not None}
    if not given or not all(given.values()):
        raise UsageError("Which name?", "Give --owner NAME, --technician NAME, or both.")
    from nextprobe.record.store import open_store

    with open_store() as store:
        job = store.job(args.job)
        for role, name in given.items():
            store.set_name(job.id, role, name)
    print(f"{job.id}: kept: {', '.join(given)}.")
    return 0


def run_erase(args: argparse.Namespace) -> int:
    """Erase the names kept with the jobs, and say whose."""
    from nextprobe.record.store import open_store

    with open_store() as store:
        for job in chosen(store, args.job):
            roles = store.erase_names(job.id)
            print(f"{job.id}: erased: {', '.join(roles)}." if roles else f"{job.id}: no names were kept.")
    print("What was typed as a note stays in the record: it is part of the chain. Backups and exports keep theirs.")
    return 0
