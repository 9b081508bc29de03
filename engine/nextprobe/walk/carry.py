"""Going over to another pack in the middle of a job: what was told so far, as far as the other pack knows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from nextprobe.model.bench import full_state
from nextprobe.pack.pack import Pack
from nextprobe.walk.ask import Step
from nextprobe.walk.situation import Situation
from nextprobe.walk.state import State


@dataclass(frozen=True, slots=True)
class Heard:
    """One thing told on this job: its id, its kind (option, history, measure or check), the words told."""

    id: str
    kind: str
    text: str
    title: str


@dataclass(frozen=True)
class Earlier:
    """What a job brings with it from the packs before: all that was told, the path and what it took."""

    pack: str = ""
    heard: tuple[Heard, ...] = ()
    path: tuple[Step, ...] = ()
    minutes: float = 0.0
    wait: float = 0.0
    money: float = 0.0
    remarks: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    def start(self, bench: Mapping[str, str], options: Mapping[str, str]) -> State:
        """The state that a walk begins with."""
        return State(
            bench=bench,
            options=options,
            path=self.path,
            minutes=self.minutes,
            wait=self.wait,
            money=self.money,
            remarks=self.remarks,
            notes=self.notes,
        )

    def as_data(self) -> dict[str, Any]:
        """As an event holds it."""
        return {
            "pack": self.pack,
            "heard": [[h.id, h.kind, h.text, h.title] for h in self.heard],
            "path": [
                {
                    "ask": s.ask, "kind": s.kind, "title": s.title, "told": s.told, "say": s.say, "minutes": s.minutes,
                    "wait": s.wait, "money": s.money, "bench": dict(s.bench), "skipped": s.skipped,
                    "took": s.took,
                }
                for s in self.path
            ],
            "minutes": self.minutes,
            "wait": self.wait,
            "money": self.money,
            "remarks": list(self.remarks),
            "notes": list(self.notes),
        }  # fmt: skip

    @classmethod
    def of_data(cls, data: Mapping[str, Any]) -> Earlier:
        """From an event."""
        return cls(
            data["pack"],
            tuple(Heard(*one) for one in data["heard"]),
            tuple(Step(**one) for one in data["path"]),
            data["minutes"],
            data["wait"],
            data["money"],
            tuple(data["remarks"]),
            tuple(data["notes"]),
        )


@dataclass(frozen=True, slots=True)
class GoneOver:
    """What came of going over: the new pack's title; the titles of what counts there, and of what it does not know.

    sheet: the board sheet that the new pack goes on without; "" for none.
    """

    title: str
    taken: tuple[str, ...]
    left: tuple[str, ...]
    sheet: str = ""

    @property
    def say(self) -> str:
        """In words."""
        said = f"This job goes on in the pack “{self.title}”."
        if self.taken:
            said += f" Taken over: {'; '.join(self.taken)}."
        if self.left:
            said += f" Kept in the record, but not asked by that pack: {'; '.join(self.left)}."
        if self.sheet:
            said += f" Without the board sheet “{self.sheet}”, which is not for that pack: its values are general ones."
        return said


def brought(pack: Pack, state: State, before: Earlier, to: Pack) -> Earlier:
    """What a walk at `state` of `pack`, with `before` behind it, brings to the pack `to`."""
    heard = {one.id: one for one in before.heard if not state.tried}
    heard |= {one.id: one for one in before.heard if one.kind in ("option", "history")}
    heard |= {one.id: one for one in _told(pack, state)}
    known = tuple(id_ for id_ in state.remarks if id_ in to.remarks)
    # A remark that the other pack does not list still belongs to the owner.
    notes = (*state.notes, *(pack.title_of(id_) for id_ in state.remarks if id_ not in to.remarks))
    return Earlier(pack.id, tuple(heard.values()), state.path, state.minutes, state.wait, state.money, known, notes)


def _told(pack: Pack, state: State) -> list[Heard]:
    """All that still holds of the machine: after a repair what was measured before it is of another machine."""
    found = [
        Heard(id_, "option", value, pack.title_of(id_))
        for id_, value in state.options.items()
        if id_ not in pack.known_options
    ]
    found += [
        Heard(item.id, "history", item.told, pack.title_of(item.id))
        for item in state.evidence
        if item.kind == "history"
    ]
    for id_, told in state.told.items():
        measured = pack.measurements.get(id_)
        if measured is None or not told.text or told.repairs != len(state.tried):
            continue
        if not measured.is_check:
            found.append(Heard(id_, "measure", told.text, measured.title))
        elif told.outcome == "passed":
            found.append(Heard(id_, "check", told.text, measured.title))
    return found


def fitting(
    to: Pack, situation: Situation, state: State, earlier: Earlier
) -> tuple[dict[str, str], list[str], dict[str, str]]:
    """The options, what is lacking, and the bench, as far as the pack `to` has them."""
    options = {}
    for one in earlier.heard:
        known = to.options.get(one.id)
        if known is not None and one.kind == "option" and one.id not in to.known_options and one.text in known.values:
            options[one.id] = one.text
    lacks = sorted(id_ for id_ in situation.lacks if id_ in to.instruments or id_ in to.skills)
    conditions = to.bench.conditions
    bench = {name: value for name, value in state.bench.items() if value in conditions.get(name, ())}
    return options, lacks, full_state(to.bench, bench)
