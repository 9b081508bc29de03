"""What is wrong with a simulated machine: the causes that are present and the effects that each switched on.

Drawn as the pack has it: causes by their weights, pairs by the product of weights, the effects of a cause by the
coins of its arcs, given that the symptom shows (noisy-OR: Pearl 1988, section 4.3).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from nextprobe.errors import SituationError
from nextprobe.pack.pack import Pack, When
from nextprobe.rehearse.luck import Luck

#: The cause of a machine whose fault the pack does not know.
UNLISTED = "unlisted"


@dataclass(frozen=True, slots=True)
class Fault:
    """reach: each present cause, and the effects that it switched on by itself, the symptom's id among them.

    The cause ``unlisted`` stands for something that the pack does not know.
    """

    reach: Mapping[str, frozenset[str]]

    @property
    def causes(self) -> tuple[str, ...]:
        """The causes that are present."""
        return tuple(self.reach)

    @property
    def holds(self) -> frozenset[str]:
        """Everything that is so on the machine: causes, effects, and the symptom where it shows."""
        return frozenset(self.reach).union(*self.reach.values())

    def without(self, causes: Sequence[str]) -> Fault:
        """The fault once `causes` are removed; those that stay keep what they switched on themselves."""
        return Fault({cause: effects for cause, effects in self.reach.items() if cause not in causes})

    def as_data(self) -> dict[str, list[str]]:
        """Plain data for a record."""
        return {cause: sorted(effects) for cause, effects in self.reach.items()}

    @classmethod
    def of_data(cls, data: Mapping[str, Sequence[str]]) -> Fault:
        """The fault that `as_data` kept."""
        return cls({cause: frozenset(effects) for cause, effects in data.items()})


def true_here(when: When, holds: frozenset[str]) -> bool:
    """Whether a rule's condition is true where the causes and effects `holds` are present."""
    match when.op:
        case "id":
            return when.id in holds
        case "not":
            return not true_here(when.parts[0], holds)
        case "all":
            return all(true_here(part, holds) for part in when.parts)
        case _:
            return any(true_here(part, holds) for part in when.parts)


def draw_fault(
    pack: Pack,
    symptom: str,
    options: Mapping[str, str],
    luck: Luck,
    *,
    causes: Sequence[str] = (),
    two: bool = False,
    whole: bool = False,
) -> Fault:
    """A hidden fault for a machine with these options that shows the symptom.

    causes: the one cause or the two that are present; without them they are drawn, one by weight, or with `two` two.
    whole: drawn as the pack has its jobs, so that two causes and what the pack does not know may come up.
    Raises SituationError where a cause is unknown, cannot be on this machine or cannot lead to the symptom.
    """
    if tuple(causes) == (UNLISTED,):
        return Fault({UNLISTED: frozenset({symptom})})
    weights = possible(pack, symptom, options)
    if causes:
        _check(pack, symptom, causes, weights)
        return _switched(pack, symptom, options, luck, tuple(causes))
    if whole:
        shares = [max(0.0, 1.0 - pack.unlisted - pack.pairs), pack.unlisted, pack.pairs if len(weights) > 1 else 0.0]
        kind = luck.pick(("one", UNLISTED, "two"), shares, "how many")
        if kind == UNLISTED:
            return Fault({UNLISTED: frozenset({symptom})})
        two = kind == "two"
    if two and len(weights) < 2:
        raise SituationError(
            f"The pack {pack.id!r} has fewer than two causes of {symptom!r} here.", "Rehearse with one fault."
        )
    if two:
        pairs = list(combinations(weights, 2))
        return _switched(
            pack, symptom, options, luck, luck.pick(pairs, [weights[a] * weights[b] for a, b in pairs], "causes")
        )
    one = luck.pick(list(weights), list(weights.values()), "causes")
    return _switched(pack, symptom, options, luck, (one,))


def possible(pack: Pack, symptom: str, options: Mapping[str, str]) -> dict[str, float]:
    """The weight of each cause that can be present and lead to the symptom on this machine; never empty.

    Raises SituationError where there is none.
    """
    import numpy as np

    from nextprobe.model.hypotheses import graph_of
    from nextprobe.model.machine import check_machine
    from nextprobe.model.unfold import unfold

    check_machine(pack, symptom, options)
    graph = graph_of(pack, symptom, options)
    count = len(graph.causes)
    shown = unfold(graph, np.arange(count), np.full(count, -1), ()).shown
    return {
        cause: pack.causes[cause].weight
        for cause, chance in zip(graph.causes, shown.tolist(), strict=True)
        if chance > 0 and pack.causes[cause].weight > 0
    }


def _check(pack: Pack, symptom: str, causes: Sequence[str], weights: Mapping[str, float]) -> None:
    from nextprobe.walk.situation import near

    if len(causes) > 2 or len(set(causes)) != len(causes):
        raise SituationError("A machine has one cause, or two that differ.", "Name one or two.")
    for cause in causes:
        if cause not in pack.causes:
            raise SituationError(
                f"The pack {pack.id!r} has no cause {cause!r}.{near(cause, pack.causes)}",
                f"It has: {', '.join(pack.causes)}.",
            )
        if cause not in weights:
            raise SituationError(
                f"The cause {cause!r} cannot lead to {symptom!r} on this machine.",
                "Name another cause, or other options with --option.",
            )


def _switched(pack: Pack, symptom: str, options: Mapping[str, str], luck: Luck, causes: tuple[str, ...]) -> Fault:
    """The fault of these causes, their coins thrown once for this machine."""
    import numpy as np

    from nextprobe.model.hypotheses import graph_of, read_nodes
    from nextprobe.model.unfold import unfold

    graph = graph_of(pack, symptom, options)
    place = [graph.causes.index(cause) for cause in causes]
    second = place[1] if len(place) > 1 else -1
    rows = unfold(graph, np.array([place[0]]), np.array([second]), read_nodes(pack))
    row = luck.pick(range(len(rows.chance)), rows.chance.tolist(), "effects")
    state = rows.state[:, row].tolist()
    return Fault(
        {
            cause: frozenset(node for node, bits in zip(rows.nodes, state, strict=True) if bits >> number & 1)
            for number, cause in enumerate(causes)
        }
    )
