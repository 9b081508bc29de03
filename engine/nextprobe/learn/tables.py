"""Cases as arrays: for each kind of machine its hypotheses, and how likely each makes what was told of every case.

One fault a job: a pack with `pairs` is learnt from as if each job had one cause, so that a job with two counts for the
cause that explains more of it. The last row of hypotheses is the unlisted one; it takes every reading as likely as it
is over all causes by the pack's own numbers, as the walk does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from nextprobe.belief import own_chance
from nextprobe.errors import SituationError
from nextprobe.learn.case import Case
from nextprobe.model.arrays import Floats, Ints, sum_by
from nextprobe.model.hypotheses import Hypotheses, fact_likelihood, make_hypotheses
from nextprobe.pack.pack import Pack
from nextprobe.walk.evidence import outcome_vector
from nextprobe.walk.state import Evidence

#: The parameter of a reading whose chances hang on no misread.
NO_SLIP = -1


@dataclass(frozen=True)
class Parameters:
    """The numbers that are learnt, in one order.

    causes (C): ids. weight (C,): as in the pack. unlisted: a share. fixes: (repair, cause) of each; fixed (F,).
    slips: measurements that share each chance of a misread, "" for those that take the pack's; slip (S,).
    """

    causes: tuple[str, ...]
    weight: Floats
    unlisted: float
    fixes: tuple[tuple[str, str], ...]
    fixed: Floats
    slips: tuple[str, ...]
    slip: Floats

    @classmethod
    def of(cls, pack: Pack) -> Parameters:
        """The pack's own numbers."""
        fixes = [(key, cause) for key, repair in pack.repairs.items() for cause, f in repair.fixes.items() if f > 0]
        own = [
            key
            for key, one in pack.measurements.items()
            if not one.is_check and abs(one.misread - pack.misread) > 1e-12
        ]
        return cls(
            causes=tuple(pack.causes),
            weight=np.array([cause.weight for cause in pack.causes.values()]),
            unlisted=pack.unlisted,
            fixes=tuple(fixes),
            fixed=np.array([pack.repairs[repair].fixes[cause] for repair, cause in fixes]),
            slips=("", *own),
            slip=np.array([pack.misread, *(pack.measurements[key].misread for key in own)]),
        )


@dataclass(frozen=True)
class Block:
    """Cases of one kind of machine, like ones together: (n) rows. made: its hypotheses.

    cause_of (H + 1,): the index of each hypothesis' cause, C for the unlisted one, the last. chance (H + 1,):
    log P(hypothesis | its cause). clean, slipped (K, H + 1): P(reading | h) where it was taken right, and where it was
    not; slip_of (K,): the chance of a misread that it hangs on, or NO_SLIP. readings (n, K): how often each was told.
    still, gone (n, F): which results of repairs count on which chance, by the index of `fixes`. count (n,): cases.
    members: the places of the cases in each row. open (C,): causes that can be there.
    """

    made: Hypotheses
    cause_of: Ints
    chance: Floats
    clean: Floats
    slipped: Floats
    slip_of: Ints
    readings: Floats
    repairs: tuple[str, ...]
    still: Floats
    gone: Floats
    fix_at: Ints
    count: Floats
    members: tuple[tuple[int, ...], ...]
    open: Floats

    def log_readings(self, slip: Floats) -> Floats:
        """(n, H + 1) log P(all readings | hypothesis) with these chances of a misread."""
        return np.asarray(self.readings @ np.log(np.maximum(self.mixed(slip), 1e-300)) + self.chance)

    def mixed(self, slip: Floats) -> Floats:
        """(K, H + 1) P(reading | hypothesis) with these chances of a misread."""
        own = np.where(self.slip_of == NO_SLIP, 0.0, slip[self.slip_of])[:, None]
        return np.asarray((1.0 - own) * self.clean + own * self.slipped)

    def log_repairs(self, fixed: Floats) -> Floats:
        """(n, C + 1) log P(results of all repairs | cause); fixed (F,)."""
        table = np.append(fixed, 0.0)[self.fix_at]
        with np.errstate(divide="ignore"):
            gone, still = np.log(table), np.log1p(-table)
        floor = np.log(1e-300)
        return np.asarray(self.gone @ np.maximum(gone, floor) + self.still @ np.maximum(still, floor))


def make_blocks(pack: Pack, cases: Sequence[Case], known: Parameters) -> tuple[list[Block], list[int]]:
    """The cases as blocks, and the places of cases whose machine the pack does not fit."""
    groups: dict[tuple[object, ...], list[int]] = {}
    hypotheses: dict[tuple[object, ...], Hypotheses] = {}
    keys: dict[tuple[object, ...], tuple[object, ...] | None] = {}
    one_fault = replace(pack, pairs=0.0)
    unfit: list[int] = []
    for place, case in enumerate(cases):
        asked = (case.symptom, case.options)
        if asked not in keys:
            keys[asked] = _group(one_fault, case, hypotheses)
        key = keys[asked]
        if key is None:
            unfit.append(place)
        else:
            groups.setdefault(key, []).append(place)
    return [_block(pack, known, hypotheses[key], cases, places) for key, places in groups.items()], unfit


def _group(one_fault: Pack, case: Case, made: dict[tuple[object, ...], Hypotheses]) -> tuple[object, ...] | None:
    """What tells the hypotheses of this machine from others; None where there are none."""
    try:
        found = make_hypotheses(one_fault, case.symptom, dict(case.options))
    except SituationError:
        return None
    key = (case.symptom, found.causes, found.nodes, found.state.tobytes(), found.prior.tobytes())
    made.setdefault(key, found)
    return key


def _block(pack: Pack, known: Parameters, made: Hypotheses, cases: Sequence[Case], places: Iterable[int]) -> Block:
    rows: dict[tuple[Evidence, ...], list[int]] = {}
    for place in places:
        rows.setdefault(tuple(sorted(cases[place].evidence, key=repr)), []).append(place)
    told = Counter(one for evidence in rows for one in evidence if one.kind != "repair")
    column = {one: number for number, one in enumerate(told)}
    readings = np.zeros((len(rows), len(column)))
    repairs = {key: number for number, key in enumerate(pack.repairs)}
    still, gone = np.zeros((len(rows), len(repairs))), np.zeros((len(rows), len(repairs)))
    for number, evidence in enumerate(rows):
        for one in evidence:
            if one.kind == "repair":
                (gone if one.told == "gone" else still)[number, repairs[one.id]] += 1.0
            else:
                readings[number, column[one]] += 1.0
    clean, slipped, slip_of = _tables(pack, known, made, list(column))
    causes = len(known.causes)
    place_of = np.array([known.causes.index(cause) for cause in made.causes])
    cause_of = np.append(place_of[made.first], causes)
    share = sum_by(made.first, made.prior, len(made.causes))
    at = np.full((len(repairs), causes + 1), len(known.fixes))
    for number, (repair, cause) in enumerate(known.fixes):
        at[repairs[repair], known.causes.index(cause)] = number
    open_ = np.zeros(causes)
    open_[place_of[share > 0]] = 1.0
    with np.errstate(divide="ignore", invalid="ignore"):
        chance = np.where(made.prior > 0, np.log(made.prior / share[made.first]), -np.inf)
    return Block(
        made=made, cause_of=cause_of, chance=np.append(chance, 0.0), clean=clean, slipped=slipped, slip_of=slip_of,
        readings=readings, repairs=tuple(repairs), still=still, gone=gone, fix_at=at,
        count=np.array([float(len(one)) for one in rows.values()]),
        members=tuple(tuple(one) for one in rows.values()), open=open_,
    )  # fmt: skip


def _tables(pack: Pack, known: Parameters, made: Hypotheses, told: Sequence[Evidence]) -> tuple[Floats, Floats, Ints]:
    size = len(made.first)
    clean, slipped = np.zeros((len(told), size + 1)), np.zeros((len(told), size + 1))
    slip_of = np.full(len(told), NO_SLIP)
    for number, one in enumerate(told):
        if one.kind == "history":
            likelihood = fact_likelihood(made, pack.history[one.id], one.told)
            clean[number, :size] = slipped[number, :size] = likelihood
            own = own_chance(made, likelihood)
        else:
            measured = pack.measurements[one.id]
            weights = outcome_vector(measured, one)
            names = list(measured.outcomes)
            table = np.array([[rule.gives.get(name, 0.0) for name in names] for rule in measured.reads])
            wrong = (1.0 - table) / (len(names) - 1) if len(names) > 1 else table
            index = made.rule_index(measured)
            clean[number, :size] = (table @ weights)[index]
            slipped[number, :size] = (wrong @ weights)[index]
            slip_of[number] = known.slips.index(one.id) if one.id in known.slips else 0
            slip = known.slip[slip_of[number]]
            own = own_chance(made, (1.0 - slip) * clean[number, :size] + slip * slipped[number, :size])
        clean[number, size] = slipped[number, size] = own
    return clean, slipped, slip_of
