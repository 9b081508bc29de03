"""Finished jobs as open repair data: one row a job, in the Open Repair Data Standard 0.3. No name of a person."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from datetime import date
from difflib import get_close_matches

from nextprobe.errors import NextprobeError, StoreError, UsageError
from nextprobe.interchange.ords_rules import ords_categories, ords_fields, ords_problems
from nextprobe.interchange.replay import Replay, live
from nextprobe.record import Event, Job
from nextprobe.record.events import is_rehearsal
from nextprobe.record.jobs import place_in_day
from nextprobe.record.store import Store

#: What is published where nobody gave a provider.
PROVIDER = "nextprobe"
#: Options of the command whose field the standard requires or wants, and what is missing without them.
WANTED = {
    "country": "the standard requires the field country, which stays empty.",
    "provider": f"the data provider is called {PROVIDER!r}.",
    "category": "the field product_category stays empty.",
}


def ords_rows(
    store: Store, jobs: Sequence[Job], *, country: str = "", provider: str = "", category: str = ""
) -> list[dict[str, str]]:
    """A row for each of the finished `jobs`, in the order in which they were opened, held to the standard's rules.

    country: three letters of ISO 3166-1; category: a product category of the standard. Raises UsageError where one
    of them is none, StoreError where a record cannot be read.
    """
    replay = Replay(store.pack_text)
    name = provider.strip() or PROVIDER
    category = _category(category)
    country = country.strip().upper()
    if country and not re.fullmatch("[A-Z]{3}", country):
        raise UsageError(f"{country!r} is no country.", "Give its three letters of ISO 3166-1, as in DEU.")
    prefix = re.sub("[^a-z]", "", name.lower()) or PROVIDER
    rows: list[dict[str, str]] = []
    for job in sorted(jobs, key=lambda job: (job.opened, job.id)):
        events = store.events(job.id)
        if is_rehearsal(events):
            continue  # a simulated machine is nobody's repair
        given = {
            "id": f"{prefix}-{_number(job)}",
            "data_provider": name,
            "country": country,
            "partner_product_category": _machine(job, replay),
            "product_category": category,
            "product_category_id": str(ords_categories()[category]) if category else "",
            "repair_status": status_of(job, events),
            "group_identifier": name,
            "event_date": job.opened[:10],
            "problem": _problem(job, events, replay),
        }
        rows.append({field.name: given.get(field.name, "") for field in ords_fields()})
    if broken := ords_problems(rows):
        raise StoreError(f"This is no open repair data: {broken[0]}.", "Check the job and what was given.")
    return rows


def ords_text(rows: Sequence[dict[str, str]]) -> str:
    """`rows` as CSV with a head line (RFC 4180, but for its line ends)."""
    out = io.StringIO()
    writer = csv.DictWriter(out, [field.name for field in ords_fields()], lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def status_of(job: Job, events: Sequence[Event]) -> str:
    """The repair status of the standard that an ending means.

    Quoting and handing over name the help that is needed; only a board that was lost on the way is at its end: that
    an owner declines a quote is not recorded. What was stopped, left or not found says nothing of the machine.
    """
    lost = any(event.data.get("kind") == "repair" and event.data.get("told") == "ruined" for event in live(events))
    if job.ending == "referred" and lost:
        return "End of life"
    return {"repaired": "Fixed", "referred": "Repairable", "handed_over": "Repairable"}.get(job.ending, "Unknown")


def _category(typed: str) -> str:
    """The standard's spelling of what was typed; "" for nothing."""
    if not typed.strip():
        return ""
    known = {" ".join(name.lower().split()): name for name in ords_categories()}
    plain = " ".join(typed.lower().split())
    if plain in known:
        return known[plain]
    near = get_close_matches(plain, known, n=1)
    hint = f"Did you mean {known[near[0]]}? " if near else ""
    raise UsageError(
        f"{typed!r} is no product category of the standard.", f"{hint}They are: {', '.join(known.values())}."
    )


def _number(job: Job) -> str:
    """The job's id as a number: the day, and its place in the day in seven figures; no two jobs have the same."""
    day, _, letters = job.id.rpartition("-")
    try:
        return f"{date.fromisoformat(day):%Y%m%d}{place_in_day(letters):07d}"
    except ValueError:
        raise StoreError(f"{job.id!r} is no job's id.", "Export the job it came from again.") from None


def _machine(job: Job, replay: Replay) -> str:
    try:
        board = replay.pack(job.pack_hash).board
    except NextprobeError:
        board = None
    return board.title if board is not None else job.board or job.pack_id


def _problem(job: Job, events: Sequence[Event], replay: Replay) -> str:
    """What was complained of, found and done, in one line."""
    try:
        pack = replay.pack(job.pack_hash)
        complaint = pack.title_of(job.symptom)
        cause = next((str(e.data.get("cause", "")) for e in reversed(events) if e.kind == "ended"), "")
        found = pack.title_of(cause) if cause else ""
    except NextprobeError:
        complaint, found = job.symptom.replace("_", " "), ""
    repairs = [str(e.data.get("title", "")) for e in live(events) if e.data.get("kind") == "repair"]
    parts = [
        complaint,
        f"Found: {found}" if found else "",
        f"Done: {'; '.join(dict.fromkeys(repairs))}" if repairs else "",
    ]
    return ". ".join(" ".join(part.split()) for part in parts if part)
