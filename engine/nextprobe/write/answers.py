"""What the author of a new pack answered, as plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class CauseLine:
    """A cause and its weight: how often it is the one, relative to the others. `stated`: the author said so."""

    title: str
    weight: float
    stated: bool = field(default=True, compare=False)


@dataclass(frozen=True, slots=True)
class MeasurementLine:
    """Something one can look at or measure, in minutes; `shows`: places in the list of causes, from 0."""

    title: str
    minutes: float
    shows: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class RepairLine:
    """A repair in minutes, its parts in money; `cures`: places in the list of causes, from 0."""

    title: str
    minutes: float
    parts: float
    cures: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class QuoteLine:
    """Quoting a replacement: minutes of desk work and its price. `stated`: the author said so."""

    minutes: float
    price: float
    stated: bool = True


@dataclass(frozen=True, slots=True)
class Answers:
    """The five answers. Titles are one line of printable text, never empty; there is at least one cause."""

    machine: str
    symptom: str
    causes: tuple[CauseLine, ...]
    measurements: tuple[MeasurementLine, ...]
    repairs: tuple[RepairLine, ...]
    quote: QuoteLine

    @property
    def unweighed(self) -> tuple[str, ...]:
        """Titles of causes without a share, where others have one: most likely slips."""
        silent = tuple(one.title for one in self.causes if not one.stated)
        return silent if len(silent) < len(self.causes) else ()
