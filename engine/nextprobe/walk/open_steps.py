"""What can be asked now: what applies, is at hand, is not told yet, and what must come before it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from nextprobe.pack.applies import applies, at_hand, deciding_options
from nextprobe.pack.pack import After, Fact, Measurement, Move, Needs, Pack, Repair
from nextprobe.walk.situation import Situation
from nextprobe.walk.state import State, Told


@dataclass(frozen=True, slots=True)
class Blocked:
    """A step cannot be asked on this job, and why."""

    why: str


class OpenSteps:
    """Questions about one state; nothing here changes it."""

    def __init__(self, pack: Pack, situation: Situation, state: State) -> None:
        self.pack = pack
        self.situation = situation
        self.state = state
        self.options = effective_options(pack, state)

    # -- what this shop and this machine allow, whatever was told ---------------------------------

    def can_measure(self, measurement: Measurement) -> bool:
        """Whether the measurement applies here and its instrument and skill are at hand."""
        return (
            applies(measurement.only_if, self.options) is not False
            and at_hand(measurement.instrument, self.situation.lacks)
            and not set(measurement.skill) & self.situation.lacks
            and not self._band_unknown(measurement)
        )

    def can_repair(self, repair: Repair, *, with_skills: bool = False) -> bool:
        """Whether the repair applies here and can be made in this shop."""
        lacks = self.situation.lacks - (set(self.pack.skills) if with_skills else set())
        return (
            applies(repair.only_if, self.options) is not False
            and at_hand(repair.instrument, lacks)
            and not set(repair.skill) & lacks
        )

    def _band_unknown(self, measurement: Measurement) -> bool:
        """A band that needs an option which nobody can tell leaves the measurement out."""
        return any(
            outcome.by and outcome.by not in self.options and outcome.by in self.state.unknown_options
            for outcome in measurement.outcomes.values()
        )

    # -- what is open now -------------------------------------------------------------------------

    def measurements(self) -> list[Measurement]:
        """The measurements the planner may choose from, in the order of the pack."""
        return [
            m
            for m in self.pack.measurements.values()
            if not m.is_check and not m.with_ and self.can_measure(m) and not self._settled(m)
            and not isinstance(self.before(m.after, gamble=False), Blocked)
        ]  # fmt: skip

    def facts(self) -> list[Fact]:
        """The history facts that may still be asked and could change something."""
        return [
            fact
            for fact in self.pack.history.values()
            if fact.raises and not self._asked(fact.id) and applies(fact.only_if, self.options) is not False
        ]

    def repairs(self, *, with_skills: bool = False) -> list[Repair]:
        """The repairs that may still be tried and that remove anything."""
        return [
            repair
            for repair in self.pack.repairs.values()
            if repair.fixes
            and repair.id not in self.state.tried
            and repair.id not in self.state.skipped
            and self.can_repair(repair, with_skills=with_skills)
            and not isinstance(self.before(repair.after), Blocked)
        ]

    def followers(self, id_: str) -> list[Measurement]:
        """What is read in the same act as `id_` and is not told yet."""
        return [
            m
            for m in self.pack.measurements.values()
            if m.with_ == id_ and self.can_measure(m) and not self._settled(m)
        ]

    def _asked(self, id_: str) -> bool:
        return id_ in self.state.told or id_ in self.state.skipped

    def _settled(self, measurement: Measurement) -> bool:
        """Told, skipped, or the same fact is told by another way."""
        if self._asked(measurement.id):
            return True
        return any(other in self.state.told for other in self._same(measurement.id))

    def _same(self, id_: str) -> tuple[str, ...]:
        """The measurements that tell the same fact as `id_` by another way."""
        own = self.pack.measurements[id_].same_as if id_ in self.pack.measurements else ()
        return (*own, *(other.id for other in self.pack.measurements.values() if id_ in other.same_as))

    def _fact(self, id_: str) -> Told | None:
        """What was told of `id_`, by itself or by another way to the same fact."""
        return next((self.state.told[one] for one in (id_, *self._same(id_)) if one in self.state.told), None)

    # -- what must come first ---------------------------------------------------------------------

    def before(
        self, after: Sequence[After], *, gamble: bool = True, seen: frozenset[str] = frozenset()
    ) -> list[str] | Blocked:
        """The ids that must be told first, in order; Blocked where that cannot be on this job.

        gamble: whether what needs one certain outcome of an untold id may count on it. A measurement may
        not: the id is then a reading of its own, whose price the measurement must not promise to repay.
        """
        needed: list[str] = []
        for id_, outcomes in after:
            told = self._fact(id_)
            if told is not None:
                if outcomes and told.outcome not in outcomes:
                    return Blocked(f"{self.pack.title_of(id_)}: {told.outcome.replace('_', ' ')}")
                continue
            if id_ in self.state.skipped:
                return Blocked(f"{self.pack.title_of(id_)} was skipped")
            if outcomes and not gamble:
                return Blocked(f"needs {self.pack.title_of(id_)}: {' or '.join(outcomes)}")
            if id_ in seen:
                return Blocked("its own condition")
            measurement = self.pack.measurements.get(id_)
            if measurement is not None:
                if not self.can_measure(measurement):
                    if applies(measurement.only_if, self.options) is False:
                        continue  # on a machine without it there is nothing to tell
                    return Blocked(f"{measurement.title} cannot be made here")
                more = self.before(measurement.after, seen=seen | {id_})
                if isinstance(more, Blocked):
                    return more
                needed += [one for one in more if one not in needed]
            if id_ not in needed:
                needed.append(id_)
        return needed

    def undecided(self, *only_ifs: Sequence[Mapping[str, tuple[str, ...]]]) -> list[str]:
        """Options nobody has told yet that decide one of the `only_ifs`, those held by default among them."""
        known = self.state.options
        found: list[str] = []
        for only_if in only_ifs:
            for option in deciding_options(tuple(only_if), known):
                if option not in found and option not in self.state.unknown_options and self._option_applies(option):
                    found.append(option)
        return found

    def _option_applies(self, option: str) -> bool:
        return applies(self.pack.options[option].only_if, self.options) is not False

    def band_options(self, measurement: Measurement) -> list[str]:
        """Options that the measurement's bands need and nobody has told yet."""
        wanted = [outcome.by for outcome in measurement.outcomes.values() if outcome.by]
        return [
            option
            for option in dict.fromkeys(wanted)
            if option not in self.state.options and option not in self.state.unknown_options
        ]

    # -- the bench --------------------------------------------------------------------------------

    def moves(self) -> list[Move]:
        """The moves that this machine has; one whose `after` was told otherwise stays shut."""
        return [
            move
            for move in self.pack.bench.moves.values()
            if applies(move.only_if, self.options) is not False and not isinstance(self.before(move.after), Blocked)
        ]

    def barred(self, lifting: Collection[str] = ()) -> list[Needs]:
        """The conditions that no move may enter now, or once the ids `lifting` are told as they should be."""
        return [
            bar.needs
            for bar in self.state.bars
            if not self._lifted(bar.until) and not any(id_ in lifting for id_, _ in bar.until)
        ]

    def retakable(self) -> list[str]:
        """The measurements that a bar waits for and that may be taken, or taken again, after a repair."""
        return [
            id_
            for bar in self.state.bars
            for id_, _ in bar.until
            if id_ in self.pack.measurements
            and id_ not in self.state.skipped
            and self.can_measure(self.pack.measurements[id_])
        ]

    def lifting(self) -> list[str]:
        """The measurements that may lift a bar, in the order of the bars; one told before the last repair may again."""
        return [
            id_
            for bar in self.state.bars
            if not self._lifted(bar.until)
            for id_, _ in bar.until
            if id_ in self.pack.measurements
            and id_ not in self.state.skipped
            and (id_ not in self.state.told or self.state.told[id_].repairs < len(self.state.tried))
            and self.can_measure(self.pack.measurements[id_])
        ]

    def _lifted(self, until: Sequence[After]) -> bool:
        return any(
            (told := self._fact(id_)) is not None and (not outcomes or told.outcome in outcomes)
            for id_, outcomes in until
        )


def effective_options(pack: Pack, state: State) -> dict[str, str]:
    """The options told, and the defaults that are held until they are."""
    held = {
        key: option.default
        for key, option in pack.options.items()
        if option.default is not None and key not in state.unknown_options
    }
    return {**held, **state.options}
