"""A job: one machine's record from intake to ending; its short name and its time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime

Clock = Callable[[], datetime]

# Digits before letters, so that ids sort by time; no i, l, o or u, which are misread on a label.
_LETTERS = "0123456789abcdefghjkmnpqrstvwxyz"
_TICKS_A_SECOND = 12
"""Four letters name 32⁴ ticks, a little more than twelve for each second of a day."""


@dataclass(frozen=True, slots=True)
class Job:
    """What a store says of a job beside its events.

    ``state`` is ``open`` or ``ended``; ``ending`` is '' while it is open. ``events`` is the
    number of events and ``head`` the hash of the last one (of nothing yet: the job's own).
    """

    id: str
    opened: str
    pack_id: str
    pack_hash: str
    board: str
    symptom: str
    state: str
    ending: str
    events: int
    head: str


def utc_now() -> datetime:
    """The time now, in UTC."""
    return datetime.now(UTC)


def stamp(moment: datetime) -> str:
    """`moment` as ISO 8601 in UTC, to the millisecond; a moment without a zone is taken as UTC."""
    aware = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    return aware.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def job_id(moment: datetime, bump: int = 0) -> str:
    """An id for a job opened at `moment`, as ``2026-03-09-dk4t``: the day, and the time in four letters.

    `bump` moves it on by so many ticks, where an id is taken.
    """
    aware = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    aware = aware.astimezone(UTC)
    second = aware.hour * 3600 + aware.minute * 60 + aware.second + aware.microsecond / 1e6
    tick = (int(second * _TICKS_A_SECOND) + bump) % len(_LETTERS) ** 4
    letters = ""
    for _ in range(4):
        tick, rest = divmod(tick, len(_LETTERS))
        letters = _LETTERS[rest] + letters
    return f"{aware:%Y-%m-%d}-{letters}"


def place_in_day(letters: str) -> int:
    """The number that the last letters of a job's id spell: 0 to 32⁴ - 1. Raises ValueError for any other text."""
    if len(letters) != 4:
        raise ValueError(letters)
    number = 0
    for letter in letters:
        number = number * len(_LETTERS) + _LETTERS.index(letter)
    return number
