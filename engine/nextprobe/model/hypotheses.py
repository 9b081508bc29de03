"""The hypotheses of a pack on one machine: one cause or two, with the effects they switched on.

Priors follow the pack format: weights are shares of this pack's jobs on machines to which the cause
applies, scaled so that one-cause hypotheses share 1 - unlisted - pairs; pairs share `pairs` by the
product of their weights; the symptom conditions each cause's effects, never its total.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from nextprobe.model.arrays import Bits, Bools, Floats, Ints, sum_by
from nextprobe.model.machine import check_machine, possible_causes
from nextprobe.model.unfold import Graph, make_graph, row_keys, unfold
from nextprobe.pack.applies import applies, ids_in
from nextprobe.pack.pack import Fact, Measurement, Pack, When

if TYPE_CHECKING:
    from numpy.typing import NDArray

#: More rows than this are not kept: the rarest pairs stay folded and their mass is stated.
ROW_LIMIT = 1_500_000


@dataclass(frozen=True)
class Hypotheses:
    """`n` hypotheses, those of one cause first (`singles` of them), then those of two.

    causes: ids; nodes: kept effects and, last, the symptom. first, second (n,): cause indices, second
    -1 for one cause. state (K, n): bit 0 the first cause reached it, bit 1 the second. prior (n,) sums
    to 1 - unlisted - folded; `folded` is the prior share of pairs that are not unfolded.
    """

    causes: tuple[str, ...]
    nodes: tuple[str, ...]
    first: Ints
    second: Ints
    state: Bits
    prior: Floats
    unlisted: float
    singles: int
    folded: float = 0.0

    @cached_property
    def _cause_place(self) -> dict[str, int]:
        return {cause: index for index, cause in enumerate(self.causes)}

    @cached_property
    def _node_place(self) -> dict[str, int]:
        return {node: index for index, node in enumerate(self.nodes)}

    def holds(self, when: When) -> Bools:
        """(n,) whether the condition holds in each hypothesis; what cannot apply never holds."""
        if when.op == "id":
            if when.id in self._cause_place:
                cause = self._cause_place[when.id]
                return np.asarray((self.first == cause) | (self.second == cause))
            if when.id in self._node_place:
                return np.asarray(self.state[self._node_place[when.id]] > 0)
            return np.zeros(len(self.first), dtype=bool)
        parts = [self.holds(part) for part in when.parts]
        if when.op == "not":
            return ~parts[0]
        stacked = np.array(parts).reshape(len(parts), len(self.first))
        return np.asarray(stacked.all(axis=0) if when.op == "all" else stacked.any(axis=0))

    def rule_index(self, measurement: Measurement) -> Bits:
        """(n,) the index of the first rule that holds in each hypothesis."""
        index = np.full(len(self.first), len(measurement.reads) - 1, dtype=np.uint8)
        open_rows = np.ones(len(self.first), dtype=bool)
        for number, rule in enumerate(measurement.reads):
            if rule.when is None:
                break
            hit = open_rows & self.holds(rule.when)
            index[hit] = number
            open_rows &= ~hit
        return index

    def taken(self, rows: Ints) -> Hypotheses:
        """The hypotheses `rows` alone, in that order: for what they read, not for what a repair leaves."""
        return replace(
            self,
            first=self.first[rows],
            second=self.second[rows],
            state=self.state[:, rows],
            prior=self.prior[rows],
            singles=int((self.second[rows] < 0).sum()),
        )

    def present(self, weights: Floats) -> Floats:
        """(C,) the weight of all hypotheses in which each cause is present."""
        count = len(self.causes)
        two = self.second >= 0
        return sum_by(self.first, weights, count) + sum_by(self.second[two], weights[two], count)

    @cached_property
    def left_alone(self) -> tuple[Ints, Ints]:
        """Where each pair goes when one cause is removed: (left after the first, after the second).

        Each (n - singles,): the index of the one-cause hypothesis of the cause that stays, with the
        effects that it switched on itself; -1 where these do not reach the symptom.
        """
        pairs = slice(self.singles, None)
        state = self.state[:, pairs]
        one = self.state[:, : self.singles]
        single_keys = row_keys(np.bitwise_and(one, 1), self.first[: self.singles])
        after_first = row_keys(np.right_shift(state, 1), self.second[pairs])
        after_second = row_keys(np.bitwise_and(state, 1), self.first[pairs])
        order = np.argsort(single_keys)
        ordered = single_keys[order]

        def find(keys: NDArray[np.bytes_]) -> Ints:
            place = np.minimum(np.searchsorted(ordered, keys), len(ordered) - 1)
            return np.where(ordered[place] == keys, order[place], -1)

        return find(after_first), find(after_second)


def rule_table(measurement: Measurement) -> Floats:
    """(rules, outcomes) P'(o | rule): the rule's distribution after the chance of a misread.

    P'(o) = (1 - e) P(o) + e (1 - P(o)) / (n - 1) for n > 1 outcomes (pack format, "Rules").
    """
    outcomes = list(measurement.outcomes)
    table = np.array([[rule.gives.get(outcome, 0.0) for outcome in outcomes] for rule in measurement.reads])
    if len(outcomes) > 1:
        slip = measurement.misread
        table = (1.0 - slip) * table + slip * (1.0 - table) / (len(outcomes) - 1)
    return table


def fact_likelihood(hypotheses: Hypotheses, fact: Fact, told: str) -> Floats:
    """(n,) P(told | hypothesis) of a history fact: reported, denied or not_known.

    P(reported) = base x factor, at most 1; of two causes the larger factor counts.
    """
    count = len(hypotheses.first)
    if told == "not_known":
        return np.ones(count)
    factor = np.array([fact.raises.get(cause, 1.0) for cause in hypotheses.causes] + [0.0])
    larger: Floats = np.maximum(factor[hypotheses.first], factor[hypotheses.second])
    reported: Floats = np.minimum(1.0, fact.base * larger)
    return reported if told == "reported" else 1.0 - reported


def read_nodes(pack: Pack) -> tuple[str, ...]:
    """The effects that some rule of the pack names, in the order of the pack."""
    named = {id_ for m in pack.measurements.values() for rule in m.reads for id_ in ids_in(rule.when)}
    return tuple(effect for effect in pack.effects if effect in named)


def graph_of(pack: Pack, symptom: str, options: Mapping[str, str]) -> Graph:
    """The noisy-OR graph of what the known options do not rule out."""
    effects = {
        key: effect.leads_to for key, effect in pack.effects.items() if applies(effect.only_if, options) is not False
    }
    causes = {key: pack.causes[key].leads_to for key in possible_causes(pack, options)}
    return make_graph(causes, effects, symptom)


def make_hypotheses(pack: Pack, symptom: str, options: Mapping[str, str], row_limit: int = ROW_LIMIT) -> Hypotheses:
    """All hypotheses of `pack` for one symptom on a machine with the known `options`.

    Raises SituationError when the pack has no such symptom, or when no cause is left that produces it.
    """
    check_machine(pack, symptom, options)
    graph = graph_of(pack, symptom, options)
    keep = read_nodes(pack)
    count = len(graph.causes)
    one = unfold(graph, np.arange(count), np.full(count, -1), keep)
    shows = one.shown > 0
    weight = np.where(shows, [pack.causes[cause].weight for cause in graph.causes], 0.0)
    pair_share = pack.pairs if shows.sum() > 1 else 0.0
    single_share = 1.0 - pack.unlisted - pair_share
    share = weight / weight.sum() * single_share
    first, second, state = [one.first], [one.second], [one.state]
    prior, folded = [one.chance * share[one.first]], 0.0
    if pair_share > 0:
        left, right, kept_mass = _pairs(weight, np.bincount(one.first, minlength=count), row_limit)
        two = unfold(graph, left, right, keep)
        product = weight[two.first] * weight[two.second]
        all_products = (weight.sum() ** 2 - (weight**2).sum()) / 2
        first.append(two.first)
        second.append(two.second)
        state.append(two.state)
        prior.append(two.chance * product / all_products * pair_share)
        folded = pair_share * (1.0 - kept_mass / all_products) if kept_mass < all_products else 0.0
    return Hypotheses(
        causes=graph.causes,
        nodes=one.nodes,
        first=np.concatenate(first),
        second=np.concatenate(second),
        state=np.concatenate(state, axis=1),
        prior=np.concatenate(prior),
        unlisted=pack.unlisted,
        singles=len(one.first),
        folded=max(0.0, folded) if folded > 1e-12 else 0.0,
    )


def _pairs(weight: Floats, combinations: Ints, row_limit: int) -> tuple[Ints, Ints, float]:
    """The pairs to unfold, likeliest first within `row_limit` rows, and the sum of their products."""
    left, right = np.triu_indices(len(weight), 1)
    product = weight[left] * weight[right]
    order = np.argsort(-product, kind="stable")
    order = order[product[order] > 0]
    rows = np.cumsum(combinations[left[order]] * combinations[right[order]])
    order = order[: max(1, int(np.searchsorted(rows, row_limit, side="right")))]
    order.sort()
    return left[order], right[order], float(product[order].sum())
