"""The one-fault belief of a pack as a Bayesian network, to the last digit what a walk believes.

The root is the hypothesis: a cause with the effects that it switched on, the symptom given. Cause, effects and, for
each measurement, the rule that decides are functions of it; a measurement hangs on its rule, a question to the owner
on the cause. So no table is large, and any program computes with it exactly and at once; the same belief drawn
with the effects' arcs among them has cliques that grow with two to the number of effects read together.

`unlisted` is a hypothesis of its own, under which each reading is as likely as over all causes (Jensen, Chamberlain,
Nordahl & Jensen, "Analysis in HUGIN of data conflict", UAI 1990): its odds then rise by the conflict of the readings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from nextprobe.errors import SituationError
from nextprobe.interchange.network import Network, Variable, function_of
from nextprobe.model.arrays import Floats
from nextprobe.model.hypotheses import Hypotheses, fact_likelihood, make_hypotheses, rule_table
from nextprobe.pack.applies import applies
from nextprobe.pack.pack import Fact, Measurement, Pack, When

#: No table has more entries than this.
LARGEST = 10_000
#: A table of two states, for each hypothesis, must fit.
MOST_HYPOTHESES = LARGEST // 2 - 1


def one_fault_network(pack: Pack, symptom: str | None = None, options: Mapping[str, str] | None = None) -> Network:
    """The network of `pack` for one symptom (the first where none is given) on a machine with `options`.

    Options that are not given hold as a board sheet or their default says; one that nobody knows rules nothing out.
    `cause` has a state for each cause of the pack and `unlisted`; a measurement's states are its outcomes, a
    question's are reported and denied (not known: no evidence).

    Raises SituationError where the pack has no such symptom, where no cause is left that leads to it, and where it
    unfolds into more than MOST_HYPOTHESES hypotheses.
    """
    chosen = next(iter(pack.symptoms), "") if symptom is None else symptom
    held = {key: one.default for key, one in pack.options.items() if one.default is not None}
    known = {**held, **pack.known_options, **(options or {})}
    hypotheses = make_hypotheses(replace(pack, pairs=0.0), chosen, known)
    count = len(hypotheses.prior)
    if count > MOST_HYPOTHESES:
        raise SituationError(
            f"On this machine the pack {pack.id!r} unfolds into {count} hypotheses; a network takes {MOST_HYPOTHESES}.",
            "Name a board sheet, so that fewer are left.",
        )
    names = _names(hypotheses)
    prior = np.append(hypotheses.prior, hypotheses.unlisted)
    root = Variable(
        _free("hypothesis", pack), (*names, "unlisted"), (), prior / prior.sum(), "A cause with what it switched on."
    )
    causes = (*pack.causes, "unlisted")
    place = {cause: index for index, cause in enumerate(causes)}
    of = np.append([place[hypotheses.causes[first]] for first in hypotheses.first], len(causes) - 1).astype(np.int64)
    cause = function_of(root, "cause", causes, of, LARGEST, "What a repair would remove.")
    found = [root, *cause]
    for node in hypotheses.nodes[:-1]:
        there = np.append(hypotheses.holds(When("id", node)), False).astype(np.int64)
        found += function_of(root, node, ("absent", "present"), there, LARGEST, pack.title_of(node))
    for one in pack.measurements.values():
        # One outcome says nothing, and a variable of one state is not taken everywhere.
        if one.reads and len(one.outcomes) > 1 and applies(one.only_if, known) is not False:
            found += _measurement(pack, hypotheses, root, one)
    for fact in pack.history.values():
        if applies(fact.only_if, known) is not False:
            found.append(_fact(hypotheses, cause[-1], causes, fact))
    return Network(pack.id, _about(pack, chosen, known), tuple(found))


def _measurement(pack: Pack, hypotheses: Hypotheses, root: Variable, one: Measurement) -> list[Variable]:
    table = rule_table(one)
    index = hypotheses.rule_index(one)
    share = hypotheses.prior / hypotheses.prior.sum()
    own = np.bincount(index, weights=share, minlength=len(table)) @ table
    rules = (*(f"rule_{number}" for number in range(1, len(table))), "otherwise", "unlisted")
    value = np.append(index, len(rules) - 1).astype(np.int64)
    decides = function_of(root, _free(f"rule_of_{one.id}", pack), rules, value, LARGEST)
    return [*decides, Variable(one.id, tuple(one.outcomes), (decides[-1],), np.vstack([table, own]), one.title)]


def _fact(hypotheses: Hypotheses, cause: Variable, causes: Sequence[str], fact: Fact) -> Variable:
    reported = fact_likelihood(hypotheses, fact, "reported")
    own = float(hypotheses.prior @ reported / hypotheses.prior.sum())
    # What cannot be the cause here never decides; its row must still be one of chances.
    said: Floats = np.array([min(1.0, fact.base * fact.raises.get(one, 1.0)) for one in causes[:-1]] + [own])
    return Variable(fact.id, ("reported", "denied"), (cause,), np.column_stack([said, 1.0 - said]), fact.ask)


def _names(hypotheses: Hypotheses) -> list[str]:
    """A name for each hypothesis: its cause, with a number where the cause has several."""
    several = np.bincount(hypotheses.first, minlength=len(hypotheses.causes)) > 1
    seen: dict[int, int] = {}
    found = []
    for first in hypotheses.first.tolist():
        seen[first] = seen.get(first, 0) + 1
        found.append(f"{hypotheses.causes[first]}__{seen[first]}" if several[first] else hypotheses.causes[first])
    return found if len(set(found)) == len(found) else [f"hypothesis_{n}" for n in range(1, len(found) + 1)]


def _free(name: str, pack: Pack) -> str:
    """`name`, or with a line behind it where the pack has something of that name."""
    kinds = (pack.effects, pack.measurements, pack.history)
    while any(name in kind for kind in kinds):
        name += "_"
    return name


def _about(pack: Pack, symptom: str, known: Mapping[str, str]) -> tuple[str, ...]:
    held = ", ".join(f"{key} {value}" for key, value in known.items())
    return (
        f"{pack.title} ({pack.id}, version {pack.version}): the belief of one fault.",
        f"Given: {pack.symptoms[symptom].title}. Options: {held or 'none known'}.",
        "Enter what was read at the measurements; the belief is that of `cause`. Misreads are in the tables.",
        "Under `unlisted`, which this pack does not know, every effect counts as absent.",
    )
