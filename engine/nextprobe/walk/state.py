"""The state of a walk: frozen, and a pure fold over its events."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from nextprobe.pack.pack import After, Needs
from nextprobe.walk.ask import Ending, Step


@dataclass(frozen=True, slots=True)
class Evidence:
    """One thing that bears on the belief.

    kind: measure, history or repair. outcomes: weight of each outcome of a measurement. told: reported,
    denied or not_known of a fact; gone or still of a repair. epoch: how many repairs came before it.
    """

    id: str
    kind: str
    told: str
    outcomes: tuple[tuple[str, float], ...] = ()
    epoch: int = 0


@dataclass(frozen=True, slots=True)
class Told:
    """What was last told of an id: its outcome, the figure in the base unit if there was one.

    repairs: how many repairs had been made by then.
    """

    outcome: str
    value: float | None = None
    text: str = ""
    repairs: int = 0


@dataclass(frozen=True, slots=True)
class Proof:
    """A repair that is being proved: what is still to ask, and whether the symptom is gone (None: not yet)."""

    repair: str
    queue: tuple[str, ...]
    gone: bool | None = None


@dataclass(frozen=True, slots=True)
class Bar:
    """No move into `needs` until one of `until` is told so; empty: on this job at all."""

    needs: Needs
    until: tuple[After, ...]
    by: str


@dataclass(frozen=True)
class State:
    """Everything that counts now. `told` and `skipped` by id; `proven` are readings since the last repair.

    ticked: steps of repairs that are done, by the repair and the step's number.
    """

    bench: Mapping[str, str]
    options: Mapping[str, str]
    unknown_options: frozenset[str] = frozenset()
    told: Mapping[str, Told] = field(default_factory=dict)
    skipped: Mapping[str, str] = field(default_factory=dict)
    evidence: tuple[Evidence, ...] = ()
    epoch: int = 0
    tried: tuple[str, ...] = ()
    proof: Proof | None = None
    followers: tuple[str, ...] = ()
    proven: tuple[str, ...] = ()
    not_proved: tuple[str, ...] = ()
    bars: tuple[Bar, ...] = ()
    notices: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    offered: frozenset[str] = frozenset()
    notes: tuple[str, ...] = ()
    ticked: frozenset[tuple[str, int]] = frozenset()
    path: tuple[Step, ...] = ()
    minutes: float = 0.0
    wait: float = 0.0
    money: float = 0.0
    see_also: str = ""
    ending: Ending | None = None
