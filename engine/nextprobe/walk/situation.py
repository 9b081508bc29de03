"""The machine and the shop as they are: what the walk starts from, checked against the pack."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from math import inf

from nextprobe.errors import SituationError
from nextprobe.pack.pack import Option, Pack


@dataclass(frozen=True, slots=True)
class Situation:
    """symptom; options known at the start; instruments and skills lacking; the owner's limit in money."""

    symptom: str
    options: Mapping[str, str]
    lacks: frozenset[str]
    limit: float | None = None


def make_situation(
    pack: Pack,
    symptom: str | None,
    options: Mapping[str, str] | None,
    lacks: Iterable[str],
    limit: float | None,
) -> Situation:
    """A situation that the pack can serve; raises SituationError with what it has instead."""
    if symptom is None:
        if len(pack.symptoms) != 1:
            raise SituationError(
                f"The pack {pack.id!r} has several symptoms.", f"Choose one of: {', '.join(pack.symptoms)}."
            )
        symptom = next(iter(pack.symptoms))
    elif symptom not in pack.symptoms:
        raise SituationError(
            f"The pack {pack.id!r} has no symptom {symptom!r}.{near(symptom, pack.symptoms)}",
            f"It has: {', '.join(pack.symptoms)}.",
        )
    known = dict(pack.known_options)
    for option, value in (options or {}).items():
        known[option] = check_option(pack, option, value)
    lacking = frozenset(lacks)
    for id_ in sorted(lacking):
        if id_ not in pack.instruments and id_ not in pack.skills:
            raise SituationError(
                f"{id_!r} is neither an instrument nor a skill of the pack {pack.id!r}."
                + near(id_, [*pack.instruments, *pack.skills]),
                f"It has: {', '.join([*pack.instruments, *pack.skills])}.",
            )
    if limit is not None and not 0 <= limit < inf:
        raise SituationError(
            f"The owner's limit is {limit}.", "Give money, 0 or more; leave it out where there is none."
        )
    return Situation(symptom, known, lacking, limit)


def check_option(pack: Pack, option: str, value: str) -> str:
    """The value of an option as the pack spells it; raises SituationError."""
    if option not in pack.options:
        raise SituationError(
            f"The pack {pack.id!r} has no option {option!r}.{near(option, pack.options)}",
            f"It has: {', '.join(pack.options)}.",
        )
    known: Option = pack.options[option]
    if str(value) not in known.values:
        raise SituationError(
            f"The option {option!r} is never {value!r}.{near(str(value), known.values)}",
            f"It is one of: {', '.join(known.values)}.",
        )
    return str(value)


def near(wrong: str, right: Iterable[str]) -> str:
    """ " Did you mean ...?" with the nearest id, or nothing."""
    found = get_close_matches(wrong, list(right), n=1)
    return f" Did you mean {found[0]!r}?" if found else ""
