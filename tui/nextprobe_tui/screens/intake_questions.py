"""The rows of the intake: what may be told before the first step, and what was told of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from nextprobe.pack.matters import mattering

if TYPE_CHECKING:
    from nextprobe.pack.pack import Pack

NOT_KNOWN = "not known"
YES, NO = "yes", "no"
HERE, LACKING = "here", "lacking"

#: The kinds of rows in their order, and what stands above each.
HEADINGS = {
    "facts": "What the owner tells",
    "bench": "How the machine stands before you",
    "options": "What is fitted",
    "lacks": "What this shop has today",
}


@dataclass(frozen=True)
class Intake:
    """What was told: options, facts (id to reported or denied), what lacks, the owner's limit, the bench."""

    options: Mapping[str, str] = field(default_factory=dict)
    facts: Mapping[str, str] = field(default_factory=dict)
    lacks: tuple[str, ...] = ()
    limit: float | None = None
    bench: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Question:
    """One row: what it is about, its values, and the one that stands at first."""

    kind: str
    id: str
    say: str
    values: tuple[str, ...]
    first: str

    @property
    def key(self) -> str:
        """What tells it from every other row."""
        return f"{self.kind} {self.id}"


@dataclass(frozen=True)
class Draft:
    """What a person had given before going back: board, symptom ("" where not yet), rows by key, the limit.

    begun: the rows were seen, so that `limit` counts.
    """

    board: str = ""
    symptom: str = ""
    rows: Mapping[str, str] = field(default_factory=dict)
    limit: float | None = None
    begun: bool = False


def questions(pack: Pack, lacks: tuple[str, ...], symptom: str | None = None) -> list[Question]:
    """The rows of a pack that make a difference from `symptom` (None: its first) on its board.

    Facts, bench, options that the board leaves open, what may be lacking.
    """
    matter = mattering(pack, symptom or next(iter(pack.symptoms)), pack.known_options)
    rows = [
        Question("facts", id_, pack.history[id_].ask, (NOT_KNOWN, YES, NO), NOT_KNOWN)
        for id_ in pack.history
        if id_ in matter.facts
    ]
    for name, values in pack.bench.conditions.items():
        rows.append(Question("bench", name, name.replace("_", " "), tuple(values), pack.bench.start[name]))
    for id_ in matter.options:
        option = pack.options[id_]
        rows.append(Question("options", id_, option.ask, (NOT_KNOWN, *option.values), NOT_KNOWN))
    titles = {one.id: one.title for one in pack.instruments.values() if one.may_lack}
    titles |= {one.id: one.title for one in pack.skills.values()}
    for id_, title in titles.items():
        if id_ in matter.tools:
            rows.append(Question("lacks", id_, title, (HERE, LACKING), LACKING if id_ in lacks else HERE))
    return rows


def told(rows: list[Question], now: list[str], lacks: tuple[str, ...], limit: float | None) -> Intake:
    """What the rows say as they stand `now`; of what the shop `lacks` also what no row asks for."""
    of: dict[str, dict[str, str]] = {kind: {} for kind in HEADINGS}
    for question, value in zip(rows, now, strict=True):
        if value != question.first or question.kind == "lacks":
            of[question.kind][question.id] = value
    return Intake(
        options=of["options"],
        facts={id_: "reported" if value == YES else "denied" for id_, value in of["facts"].items()},
        lacks=(
            *(id_ for id_, value in of["lacks"].items() if value == LACKING),
            *(id_ for id_ in lacks if id_ not in of["lacks"]),
        ),
        limit=limit,
        bench=of["bench"],
    )
