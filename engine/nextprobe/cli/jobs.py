"""``nextprobe jobs``: what is recorded, whether it is as it was written, and the way to another machine and back."""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from nextprobe.cli import jobs_export, jobs_import, jobs_names
from nextprobe.cli.job_path import flat, in_words
from nextprobe.errors import UsageError
from nextprobe.record import Event, Job
from nextprobe.said import plain

if TYPE_CHECKING:
    from nextprobe.record.store import Store

_LINE = "{:<16} {:<17} {:<14} {:<14} {:<14} {}"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's actions, each with its own arguments."""
    actions = parser.add_subparsers(title="actions", dest="action", metavar="action", required=True)
    one_or = "a job's id, or its beginning or end; without it {}"
    for name, line, without in (
        ("list", "all jobs, the newest first", ""),
        ("show", "a job's path, step by step", one_or.format("the newest job")),
        ("verify", "whether records are as they were written", one_or.format("all jobs")),
    ):
        sub = _action(actions, name, line)
        sub.add_argument("job", nargs="?", metavar="JOB", help=without or argparse.SUPPRESS)
        sub.add_argument("--json", action="store_true", help="print data for another program, without names of people")
    jobs_export.configure(_action(actions, "export", "jobs as one file, for another machine or as open repair data"))
    jobs_import.configure(_action(actions, "import", "take jobs in from another machine, once they are found sound"))
    jobs_names.configure_set(_action(actions, "set-names", "keep who owns the machine and who worked on it"))
    jobs_names.configure_erase(_action(actions, "erase-names", "take names of people out; the record stays sound"))


def run(args: argparse.Namespace) -> int:
    """Do what was asked for; 1 when a record is not sound."""
    if args.action in _ELSEWHERE:
        return _ELSEWHERE[args.action](args)
    if args.action == "list" and args.job:
        raise UsageError("`jobs list` lists all jobs.", f"For one job: `nextprobe jobs show {args.job}`.")
    from nextprobe.record.store import open_store

    with open_store() as store:
        if args.action == "list":
            return _list(store, args.json)
        if args.action == "show":
            return _show(store, args.job, args.json)
        return _verify(store, args.job, args.json)


_ELSEWHERE = {
    "export": jobs_export.run,
    "import": jobs_import.run,
    "set-names": jobs_names.run_set,
    "erase-names": jobs_names.run_erase,
}


def _action(actions: Any, name: str, line: str) -> argparse.ArgumentParser:
    about = f"{line[:1].upper()}{line[1:]}."
    added: argparse.ArgumentParser = actions.add_parser(name, help=line, description=about, allow_abbrev=False)
    return added


def _list(store: Store, as_json: bool) -> int:
    jobs = store.jobs()
    if as_json:
        _dump([asdict(job) for job in jobs])
    elif not jobs:
        print(f"No jobs yet in {store.place}.")
    else:
        print(_LINE.format("job", "opened (UTC)", "pack", "board", "symptom", "state"))
        for job in jobs:
            columns = (job.id, _time(job.opened), job.pack_id, job.board or "-", job.symptom, _state(job))
            print(_LINE.format(*map(plain, columns)))
    return 0


def _show(store: Store, typed: str | None, as_json: bool) -> int:
    job = _one(store, typed)
    events = store.events(job.id)
    if as_json:
        _dump({"job": asdict(job), "events": [flat(event) for event in events]})
        return 0
    print(f"Job {job.id}, opened {_time(job.opened)} UTC, {_state(job)}")
    print(plain(f"Pack {job.pack_id}, board {job.board or 'not given'}, symptom {job.symptom}"))
    for role, name in store.people(job.id).items():
        print(plain(f"{role.capitalize()}: {name}"))
    print()
    width = len(str(len(events)))
    for event in events:
        print(f"{event.seq:>{width}}  {_clock(event)}  {in_words(event)}")
    print(f"{len(events)} {'event' if len(events) == 1 else 'events'}, last hash {job.head}")
    return 0


def _verify(store: Store, typed: str | None, as_json: bool) -> int:
    # The newest first, as in the list.
    asked = [store.job(typed)] if typed else []
    verdicts = [(job, store.verify(job.id)) for job in asked] if typed else reversed(list(store.verify_all()))
    found: list[dict[str, Any]] = [
        {"job": job.id, "events": job.events, "head": job.head, "problems": said} for job, said in verdicts
    ]
    if as_json:
        _dump(found)
    elif not found:
        print(f"No jobs yet in {store.place}.")
    else:
        for one in found:
            verdict = " ".join(one["problems"]) or f"sound, {one['events']} events, last hash {one['head']}"
            print(f"{one['job']}: {verdict}")
    return 1 if any(one["problems"] for one in found) else 0


def _one(store: Store, typed: str | None) -> Job:
    if typed:
        return store.job(typed)
    jobs = store.jobs()
    if not jobs:
        raise UsageError(f"There are no jobs yet in {store.place}.", "Start one: `nextprobe walk PACK`.")
    return jobs[0]


def _state(job: Job) -> str:
    return job.ending.replace("_", " ") if job.ending else job.state


def _time(at: str) -> str:
    return at[:16].replace("T", " ")


def _clock(event: Event) -> str:
    return plain(event.at)[11:19]


def _dump(data: object) -> None:
    print(json.dumps(data, indent=2, ensure_ascii=False))
