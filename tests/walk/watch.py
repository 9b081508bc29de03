"""What must hold of every ask, said from the plain data of a pack and what was told so far.

Source: the pack format's section on what it means. Nothing of the engine is used but the ask itself.
"""

from __future__ import annotations

from typing import Any

from nextprobe import Ask, Ending, Walk
from nextprobe.walk import Taken
from tests.oracle.worlds import rules_out


def listed(value: Any) -> list[str]:
    return [value] if isinstance(value, str) else list(value or ())


def pairs_of(after: Any) -> list[tuple[str, list[str]]]:
    """An `after` or `until` as (id, outcomes that serve; none: any)."""
    if isinstance(after, dict):
        return [(id_, listed(outcomes)) for id_, outcomes in after.items()]
    return [(id_, []) for id_ in listed(after)]


class Watch:
    """Follows a walk from outside and complains about what must not be."""

    def __init__(self, data: dict[str, Any], walk: Walk) -> None:
        self.data, self.walk = data, walk
        self.told: dict[str, str] = {}
        self.skipped: set[str] = set()
        self.asked: list[str] = []
        self.bars: dict[str, dict[str, Any]] = {}
        self.before_repair: set[str] = set()  # told before the last repair

    def needs(self, value: Any) -> dict[str, list[str]]:
        named = self.data["bench"]["states"][value] if isinstance(value, str) else value or {}
        return {condition: listed(values) for condition, values in named.items()}

    def row(self, id_: str) -> dict[str, Any]:
        if id_ == "seen":
            found: dict[str, Any] = self.data["symptoms"]["dark"]["seen"]
            return found
        if id_ == "refer":
            return dict(self.data.get("refer", {}))
        for block in ("measurements", "repairs"):
            if id_ in self.data[block]:
                row = dict(self.data[block][id_])
                main = self.data["measurements"].get(row.get("with", ""), {})
                return {**{key: main[key] for key in ("needs", "instrument", "after", "hazards") if key in main}, **row}
        return {}

    def faults(self, ask: Ask) -> list[str]:
        """All that is wrong with this ask."""
        row = self.row(ask.id)
        found = []
        if ask.id in self.skipped or (ask.id in self.told and not self.may_lift(ask.id)):
            found.append(f"{ask.id} is asked twice")
        for id_, outcomes in pairs_of(row.get("after")):
            # What this machine does not have cannot be told first, so it is not waited for.
            if rules_out(self.row(id_).get("only_if"), self._options()):
                continue
            told = next((self.told[one] for one in (id_, *self._same(id_)) if one in self.told), None)
            if told is None or (outcomes and told not in outcomes):
                found.append(f"{ask.id} is asked before {id_}")
        want = set(listed(row.get("hazards")))
        have = {hazard.id for hazard in ask.hazards}
        if want != have:
            found.append(f"{ask.id} shows the cautions {have}, not {want}")
        found += self._lacking(ask, row) + self._left_out(ask, row) + self._moves(ask, row) + self._price(ask, row)
        return found

    def _same(self, id_: str) -> list[str]:
        """Other ways to the same fact."""
        back = [other for other, one in self.data["measurements"].items() if id_ in listed(one.get("same_as"))]
        return [*listed(self.row(id_).get("same_as")), *back]

    def _options(self) -> dict[str, str]:
        held = {key: one["default"] for key, one in self.data["options"].items() if "default" in one}
        return {**{key: value for key, value in held.items() if key not in self.skipped}, **self.walk.options}

    def _left_out(self, ask: Ask, row: dict[str, Any]) -> list[str]:
        """What the options, another way to the same fact or the owner's limit leaves out."""
        found = []
        options = self._options()
        if rules_out(row.get("only_if"), options):
            found.append(f"{ask.id} does not apply here")
        ranges = [
            one["range"] for one in row.get("outcomes", {}).values() if isinstance((one or {}).get("range"), dict)
        ]
        found += [f"{ask.id} is asked before {one['by']}" for one in ranges if one["by"] not in options]
        if ask.kind == "measure" and set(self._same(ask.id)) & set(self.told) and ask.id not in self.waited_for():
            found.append(f"{ask.id} is told by another way")
        limit = self.walk.situation.limit
        if ask.kind == "repair" and limit is not None:
            rate = self.data["economics"]["labour_per_hour"] / 60
            if (self.walk.minutes + ask.minutes) * rate + self.walk.money + row["parts"] > limit + 1e-9:
                found.append(f"{ask.id} passes the owner's limit")
        return found

    def _price(self, ask: Ask, row: dict[str, Any]) -> list[str]:
        """Moves once and the step's own minutes; what is read in the same act costs nothing more."""
        moves = sum(float(self.data["bench"]["moves"][move.id]["minutes"]) for move in ask.moves)
        own = 0.2 if ask.kind == "history" else 0.0 if "with" in row else float(row.get("minutes", 0.0))
        return (
            [] if abs(ask.minutes - moves - own) < 1e-9 else [f"{ask.id} says {ask.minutes} minutes, not {moves + own}"]
        )

    def _lacking(self, ask: Ask, row: dict[str, Any]) -> list[str]:
        lacks = self.walk.situation.lacks
        tools = listed(row.get("instrument"))
        found = []
        if tools and set(tools) <= lacks:
            found.append(f"{ask.id} needs {tools}, which lack")
        if set(listed(row.get("skill"))) & lacks:
            found.append(f"{ask.id} needs a skill that lacks")
        return found

    def _moves(self, ask: Ask, row: dict[str, Any]) -> list[str]:
        bench, found = self.walk.bench, []
        for move in ask.moves:
            known = self.data["bench"]["moves"][move.id]
            if any(bench[c] not in values for c, values in self.needs(known.get("needs")).items()):
                found.append(f"{move.id} is not possible in {bench}")
            for condition, value in known["change"].items():
                if bench[condition] != value and any(value in listed(bar.get(condition)) for bar in self.open_bars()):
                    found.append(f"{move.id} enters a barred state")
            if {hazard.id for hazard in move.hazards} != set(listed(known.get("hazards"))):
                found.append(f"{move.id} does not show its cautions")
            bench = {**bench, **known["change"]}
            if dict(move.bench) != bench:
                found.append(f"{move.id} leads to {bench}, not {dict(move.bench)}")
        unmet = {c: v for c, v in self.needs(row.get("needs")).items() if bench[c] not in v}
        if unmet and "with" not in row:
            found.append(f"{ask.id} is asked in {bench}, needs {unmet}")
        return found

    def wrong_ending(self, ending: Ending) -> list[str]:
        """What the ending says that is not so."""
        found = []
        lacks = self.walk.situation.lacks
        if ending.what == "repaired":
            row = self.data["repairs"][ending.repair]
            wanted = {*listed(row["prove"]), "seen", *self.data["closing"]}
            said = {*ending.proven, *ending.not_proved}
            if wanted - said:
                found.append(f"{wanted - said} is neither proved nor said to be missing")
            if set(ending.proven) & set(ending.not_proved):
                found.append("something is both proved and not")
            good = {id_ for id_, told in self.told.items() if told in ("passed", "gone")}
            if wanted & set(ending.proven) - good:
                found.append(f"{set(ending.proven) - good} was not told so")
            if not self.skipped and not lacks and not self.bars and ending.not_proved:
                found.append(f"{ending.not_proved} was left out for no reason")
        if (ending.what == "handed_over") is not bool(ending.skill) or (ending.skill and ending.skill not in lacks):
            found.append(f"handed over for want of {ending.skill!r}")
        stopped = any(
            (self.data["measurements"][id_]["outcomes"][told] or {}).get("stop")
            for id_, told in self.told.items()
            if id_ in self.data["measurements"] and "reads" in self.data["measurements"][id_]
        )
        if stopped is not (ending.what == "stopped"):
            found.append("a stop does not stop")
        bench = self.walk.bench
        for move in ending.moves:
            bench = dict(move.bench)
        start = {condition: row["start"] for condition, row in self.data["bench"]["conditions"].items()}
        away = [c for c in start if c != "supply" and bench[c] != start[c]]
        if ending.what in ("repaired", "referred", "handed_over") and away:
            found.append(f"handed back with {away} not as it was")
        return found

    def open_bars(self) -> list[dict[str, Any]]:
        found = []
        for bar in self.bars.values():
            lifted = any(
                id_ in self.told and (not outcomes or self.told[id_] in outcomes)
                for id_, outcomes in pairs_of(bar["until"])
            )
            if not lifted:
                found.append(bar["bars"])
        return found

    def may_lift(self, id_: str) -> bool:
        """Whether a reading told before the last repair may lift a bar now: then it is taken again."""
        return id_ in self.before_repair and id_ in self.waited_for()

    def waited_for(self) -> set[str]:
        """What open bars wait for."""
        waited = [bar for bar in self.bars.values() if bar["bars"] in self.open_bars()]
        return {id_ for bar in waited for id_, _ in pairs_of(bar["until"])}

    def note(self, ask: Ask, taken: Taken | None) -> None:
        """Take in what was told of `ask`, None where it was skipped."""
        self.asked.append(ask.id)
        if taken is None:
            self.skipped.add(ask.id)
            return
        self.told[ask.id] = taken.outcome
        self.before_repair.discard(ask.id)
        if ask.kind == "measure":
            outcome = self.data["measurements"][ask.id]["outcomes"][taken.outcome] or {}
            self.bars.pop(ask.id, None)
            if outcome.get("bars"):
                self.bars[ask.id] = {"bars": outcome["bars"], "until": outcome.get("until")}
        if ask.kind == "repair" and taken.outcome == "done":
            self.before_repair |= set(self.told)
            # A repair untells what its own proof names.
            for check in (*listed(self.data["repairs"][ask.id]["prove"]), "seen", *self.data["closing"]):
                self.told.pop(check, None)
                self.skipped.discard(check)
