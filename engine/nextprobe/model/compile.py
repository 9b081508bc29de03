"""From a pack, its hypotheses and the bench as it is to the planner's arrays.

Its rows are the one-cause hypotheses and the unlisted one (the last row). Pairs stay with the belief until they are
worth planning for: see pairs.py.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.bench import BenchGraph
from nextprobe.model.hypotheses import Hypotheses, fact_likelihood, rule_table
from nextprobe.model.model import Model
from nextprobe.model.wants import Wants
from nextprobe.pack.pack import After, Fact, Measurement, Needs, Pack, Repair

#: What is told in one act: a measurement with what is read beside it, or a history fact alone.
Act = tuple[Measurement | Fact, ...]
#: Minutes that stand for "cannot be reached"; finite, so that 0 x never is not a number.
NEVER = 1e7


@dataclass(frozen=True, slots=True)
class Compiled:
    """A model and what its indices mean: the ids of measurements (history facts among them) and repairs.

    acts: what is read together as each measurement. of_cause (R, C + 1): the chance that a repair removes each cause;
    none of the unlisted one. folded: the share of the belief, in pairs of causes, that the model leaves out.
    """

    model: Model
    measurements: tuple[str, ...]
    repairs: tuple[str, ...]
    acts: tuple[Act, ...] = ()
    of_cause: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    folded: float = 0.0

    def wanted(self, id_: str) -> int:
        """The index of the measurement that tells `id_`, by itself or in the same act; -1 where none does."""
        if id_ in self.measurements:
            return self.measurements.index(id_)
        return next((n for n, act in enumerate(self.acts) if any(one.id == id_ for one in act)), -1)


@dataclass(frozen=True, slots=True)
class Leg:
    """Where each state leads when something is done from it: minutes (S,) and the state after (S,)."""

    minutes: Floats
    state: Ints

    def then(self, other: Leg) -> Leg:
        """This leg and then the other."""
        return Leg(self.minutes + other.minutes[self.state], other.state[self.state])


class Legs:
    """Ways over one bench graph, each need looked up once."""

    def __init__(self, graph: BenchGraph) -> None:
        self.graph = graph
        self._known: dict[tuple[tuple[str, tuple[str, ...]], ...], Leg] = {}

    def stay(self) -> Leg:
        """Nothing done."""
        count = len(self.graph.states)
        return Leg(np.zeros(count), np.arange(count))

    def to(self, needs: Needs, minutes: float = 0.0) -> Leg:
        """The way to the nearest state that serves, and `minutes` there."""
        key = tuple(sorted(needs.items()))
        if key not in self._known:
            ways = np.where(self.graph.mask(needs)[None, :], self.graph.minutes, np.inf)
            state = ways.argmin(axis=1)
            self._known[key] = Leg(np.minimum(ways.min(axis=1), NEVER), state)
        leg = self._known[key]
        return Leg(leg.minutes + minutes, leg.state)


def compile_model(
    pack: Pack,
    symptom: str,
    hypotheses: Hypotheses,
    graph: BenchGraph,
    start: int,
    *,
    measurements: Sequence[Measurement],
    facts: Sequence[Fact],
    repairs: Sequence[Repair],
    followers: Callable[[str], Sequence[Measurement]],
    checks_open: Callable[[str], bool],
    proof_graph: Callable[[Repair], BenchGraph],
) -> Compiled:
    """The planner's model of the steps given.

    followers: the measurements read in the same act as one. checks_open: whether a check of a proof can
    be made in this shop on this machine. proof_graph: the bench once a repair is done, without the bars
    that the repair or its own proof lifts.
    """
    singles = slice(0, hypotheses.singles)
    weight = hypotheses.prior[singles] / hypotheses.prior[singles].sum()
    acts: list[Act] = [(measurement, *followers(measurement.id)) for measurement in measurements]
    acts += [(fact,) for fact in facts]
    of_one = hypotheses.taken(np.arange(hypotheses.singles))
    tables: list[Floats] = []
    stops: list[Bools] = []
    for act in acts:
        table, stop = act_table(of_one, act)
        tables.append(np.vstack([table, weight @ table]))
        stops.append(stop)
    minutes = [m.minutes + pack.economics.wait_minutes(m.wait) for m in measurements] + [f.minutes for f in facts]
    legs = Legs(graph)
    back = legs.to(pack.bench.hand_back)
    serving = [graph.mask(measurement.needs) for measurement in measurements]
    serving += [np.ones(len(graph.states), dtype=bool)] * len(facts)
    known: dict[int, Legs] = {id(graph): legs}
    proofs = []
    for repair in repairs:
        proving = proof_graph(repair)
        proofs.append(_proof(pack, symptom, repair, known.setdefault(id(proving), Legs(proving)), checks_open))
    cause_fixes = np.array([[r.fixes.get(c, 0.0) for c in hypotheses.causes] + [0.0] for r in repairs]).reshape(
        len(repairs), len(hypotheses.causes) + 1
    )
    rows = np.append(hypotheses.first[singles], len(hypotheses.causes))
    prior = np.append(weight * (1.0 - hypotheses.unlisted), hypotheses.unlisted)
    model = Model(
        prior=prior,
        likelihoods=tuple(tables),
        minutes=np.array(minutes),
        ways=np.minimum(graph.minutes, NEVER),
        at_measurement=_masks(serving, len(graph.states)),
        fixes=cause_fixes[:, rows],
        repair_minutes=np.array([repair_minutes(pack, repair) for repair in repairs]),
        at_repair=_masks([graph.mask(repair.needs) for repair in repairs], len(graph.states)),
        proof=_stack([proof.minutes for proof, _ in proofs], len(graph.states)),
        proof_state=_stack([proof.state for proof, _ in proofs], len(graph.states)).astype(np.int64),
        tail=_stack([tail.then(back).minutes for _, tail in proofs], len(graph.states)),
        refer=_refer_minutes(pack, repairs, legs, back),
        start=start,
        stops=tuple(stops),
    )
    ids = tuple(act[0].id for act in acts)
    compiled = Compiled(model, ids, tuple(r.id for r in repairs), tuple(acts), cause_fixes)
    return replace(compiled, model=_with_wants(pack, compiled))


def repair_minutes(pack: Pack, repair: Repair) -> float:
    """Work, weighted wait, parts and risk of a repair in bench minutes."""
    economics = pack.economics
    money = repair.parts + repair.risk * economics.loss
    return repair.minutes + economics.wait_minutes(repair.wait) + economics.money_minutes(money)


def proof_order(repair: Repair) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What a repair's proof asks before the symptom is looked for, and after it."""
    if "seen" not in repair.prove:
        return (), repair.prove
    place = repair.prove.index("seen")
    return repair.prove[:place], repair.prove[place + 1 :]


def _proof(pack: Pack, symptom: str, repair: Repair, legs: Legs, checks_open: Callable[[str], bool]) -> tuple[Leg, Leg]:
    """From the repair done to the look at the symptom, and from there to the last closing check."""
    before, rest = proof_order(repair)
    seen = pack.symptoms[symptom].seen
    done = set(before)
    proof = legs.stay()
    for check in before:
        if checks_open(check):
            proof = proof.then(_check(pack, check, legs))
    proof = proof.then(legs.to(seen.needs, seen.minutes + pack.economics.wait_minutes(seen.wait)))
    tail = legs.stay()
    for check in (*rest, *pack.closing):
        if check not in done and checks_open(check):
            done.add(check)
            tail = tail.then(_check(pack, check, legs))
    return proof, tail


def _check(pack: Pack, check: str, legs: Legs) -> Leg:
    measurement = pack.measurements[check]
    return legs.to(measurement.needs, measurement.minutes + pack.economics.wait_minutes(measurement.wait))


def _refer_minutes(pack: Pack, repairs: Sequence[Repair], legs: Legs, back: Leg) -> Floats:
    """(S,) quoting from each state; without `refer` the end costs the sum of all repairs."""
    if pack.refer is None:
        return float(sum(repair_minutes(pack, repair) for repair in repairs)) + back.minutes
    refer = pack.refer
    price = refer.minutes + pack.economics.money_minutes(refer.parts)
    return legs.to(refer.needs).then(back).minutes + price


def act_table(hypotheses: Hypotheses, act: Act) -> tuple[Floats, Bools]:
    """P(all outcomes | hypothesis) (n, O) of what is read in one act, and which outcomes end the walk."""
    table = np.ones((len(hypotheses.first), 1))
    stop = np.zeros(1, dtype=bool)
    for one in act:
        if isinstance(one, Fact):
            reported = fact_likelihood(hypotheses, one, "reported")
            own, own_stop = np.column_stack([reported, 1.0 - reported]), np.zeros(2, dtype=bool)
        else:
            own = rule_table(one)[hypotheses.rule_index(one)]
            own_stop = np.array([bool(outcome.stop) for outcome in one.outcomes.values()])
        table = (table[:, :, None] * own[:, None, :]).reshape(len(table), -1)
        stop = (stop[:, None] | own_stop[None, :]).ravel()
    return table, stop


def _with_wants(pack: Pack, compiled: Compiled) -> Model:
    """What the pack wants told first, and what tells the same fact, among the measurements of the model."""
    tests, repairs = compiled.measurements, compiled.repairs
    measure, repair = np.zeros((len(tests), len(tests)), bool), np.zeros((len(repairs), len(tests)), bool)
    closes = np.zeros_like(measure)
    for index, id_ in enumerate(tests):
        if id_ in pack.measurements:
            measure[index, _wanted(pack, compiled, pack.measurements[id_].after, frozenset({id_}))] = True
            for other in pack.measurements[id_].same_as:
                if other in tests:
                    closes[index, tests.index(other)] = closes[tests.index(other), index] = True
    for index, id_ in enumerate(repairs):
        repair[index, _wanted(pack, compiled, pack.repairs[id_].after, frozenset())] = True
    # Read in the same act is no want; what would want itself is the validator's to refuse.
    np.fill_diagonal(measure, False)
    return replace(
        compiled.model,
        wants=Wants(measure, repair) if measure.any() or repair.any() else None,
        excludes=closes if closes.any() else None,
    )


def _wanted(pack: Pack, compiled: Compiled, after: Sequence[After], seen: frozenset[str]) -> list[int]:
    """The measurements of the model that `after` names, or that what it names wants in its turn."""
    found: list[int] = []
    for id_, _ in after:
        place = compiled.wanted(id_)
        if place >= 0:
            found.append(place)
        elif id_ in pack.measurements and id_ not in seen:
            found += _wanted(pack, compiled, pack.measurements[id_].after, seen | {id_})
    return found


def _masks(rows: Sequence[Bools], states: int) -> Bools:
    return np.array(rows, dtype=bool).reshape(len(rows), states)


def _stack(rows: Sequence[Floats | Ints], states: int) -> Floats:
    return np.array(rows, dtype=np.float64).reshape(len(rows), states)
