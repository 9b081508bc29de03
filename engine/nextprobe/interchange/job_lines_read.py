"""A file of jobs, read and mistrusted: what it holds, and what in it is not as it was written."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from hashlib import sha256
from typing import Any, NoReturn, TypeVar

from nextprobe.errors import UsageError
from nextprobe.interchange.job_lines import FORMAT, KIND, JobRecord
from nextprobe.record import Event, Job

_Made = TypeVar("_Made")
_TEXTS = ("at", "kind", "hash")
_LONGEST = 80


@dataclass(frozen=True)
class Parcel:
    """What a file of jobs holds. packs: each pack's text by its hash. version: the nextprobe that wrote it.

    whole: '' where the last line fits all lines before it, else what is wrong.
    """

    jobs: tuple[JobRecord, ...]
    packs: Mapping[str, str]
    version: str
    whole: str


def read_jobs(text: str, name: str) -> Parcel:
    """The parcel that `text` holds, of the file `name`. Raises UsageError with the line where it cannot be read."""
    return _Reader(text, name).parcel()


class _Reader:
    def __init__(self, text: str, name: str) -> None:
        # What a mail or an editor did to the line ends is no alteration.
        self.rows = [row.rstrip("\r") for row in text.removeprefix("\ufeff").split("\n") if row.strip()]
        self.name = name
        self.number = 0
        self.jobs: list[Job] = []
        self.extras: list[dict[str, Any]] = []
        self.events: list[list[Event]] = []
        self.packs: dict[str, str] = {}
        self.end: dict[str, Any] | None = None

    def parcel(self) -> Parcel:
        head = self.head()
        for number, row in enumerate(self.rows[1:], 2):
            self.number = number
            self.line(self.read(row))
        made = tuple(
            JobRecord(job, tuple(events), extra["people"], extra["belief"])
            for job, events, extra in zip(self.jobs, self.events, self.extras, strict=True)
        )
        return Parcel(made, self.packs, str(head.get("version", "")), self.whole(int(head["jobs"])))

    def head(self) -> dict[str, Any]:
        self.number = 1
        cure = "Give a file that `nextprobe jobs export` wrote."
        if not self.rows:
            raise UsageError(f"{self.name} is empty.", cure)
        head = self.read(self.rows[0])
        if head.get("nextprobe") != KIND:
            raise UsageError(f"{self.name}:1: this is no file of jobs.", cure)
        if head.get("format") != FORMAT:
            raise UsageError(
                f"{self.name}:1: it was written by another nextprobe (format {head.get('format')!r}, this one reads "
                f"{FORMAT}).",
                "Update nextprobe on the older machine, then export again.",
            )
        if type(head.get("jobs")) is not int:
            self.refuse("the number of jobs is missing")
        return head

    def read(self, row: str) -> dict[str, Any]:
        try:
            line = json.loads(row, parse_constant=_no_number)
        except (ValueError, RecursionError):
            self.refuse("this is no line of JSON")
        if not isinstance(line, dict):
            self.refuse("this is no map")
        return line

    def line(self, line: dict[str, Any]) -> None:
        if self.end is not None:
            self.refuse("something stands behind the last line")
        match line:
            case {"pack": {"hash": str(hash_), "text": str(text)}}:
                self.packs[hash_] = text
            case {"job": dict(job)}:
                self.jobs.append(self.made(Job, job))
                self.events.append([])
                self.extras.append({"people": self.people(line.get("people", {})), "belief": self.belief(line)})
            case {"event": dict(event)}:
                self.event(event)
            case {"end": dict(end)}:
                self.end = end
            case _:
                self.refuse("this line is none of pack, job, event and end")

    def event(self, data: dict[str, Any]) -> None:
        if not self.jobs or data.get("job") != self.jobs[-1].id:
            self.refuse("this event stands under another job than its own")
        sound = type(data.get("seq")) is int and isinstance(data.get("data"), dict)
        if not sound or not all(isinstance(data.get(key), str) for key in _TEXTS):
            self.refuse("an event lacks its number, its time, its kind, its data or its hash")
        self.events[-1].append(Event(data["seq"], data["at"], data["kind"], data["data"], data["hash"]))

    def made(self, of: Callable[..., Job], data: dict[str, Any]) -> Job:
        for one in fields(Job):
            wanted = int if one.name == "events" else str
            if type(data.get(one.name)) is not wanted:
                self.refuse(f"a job lacks its {one.name.replace('_', ' ')}")
        return of(**{one.name: data[one.name] for one in fields(Job)})

    def people(self, data: object) -> dict[str, str]:
        if not isinstance(data, dict) or not all(isinstance(name, str) for name in data.values()):
            self.refuse("the names of people are no map of texts")
        return data

    def belief(self, line: dict[str, Any]) -> dict[str, float] | None:
        found = line.get("belief")
        if found is None:
            return None
        if not isinstance(found, dict) or not all(type(one) in (int, float) for one in found.values()):
            self.refuse("the belief is no map of numbers")
        return {cause: float(chance) for cause, chance in found.items()}

    def whole(self, jobs: int) -> str:
        before = self.rows[: -1 if self.end is not None else None]
        if self.end is None:
            return "Its last line is missing: the end was cut off."
        if self.end.get("lines") != len(before) or jobs != len(self.jobs):
            return "Lines were removed or added."
        digest = sha256("".join(f"{row}\n" for row in before).encode("utf-8", "surrogatepass")).hexdigest()
        return "" if digest == self.end.get("sha256") else "It is not as it was written: a line was altered."

    def refuse(self, what: str) -> NoReturn:
        shown = self.rows[self.number - 1][:_LONGEST]
        raise UsageError(
            f"{self.name}:{self.number}: {what}: {shown}", "Nothing was taken. Export the jobs again where they are."
        )


def _no_number(word: str) -> NoReturn:
    raise ValueError(word)
