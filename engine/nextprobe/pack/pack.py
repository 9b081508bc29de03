"""The typed pack: what a validated pack says, frozen, with every default filled in.

Nothing here computes. Minutes are bench minutes, money is in the pack's currency, chances are in
0..1. Ids are unique across a pack, whatever their kind.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from nextprobe.quantity import Accuracy

#: An ``only_if``: a tuple of maps from option to the values that serve. Any map will do; all options
#: of a map must hold. Empty: always.
OnlyIf = tuple[Mapping[str, tuple[str, ...]], ...]

#: Needs of a bench state: condition -> the values that serve.
Needs = Mapping[str, tuple[str, ...]]

#: What must have been told first: an id and the outcomes that serve (empty: any).
After = tuple[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a number comes from: its kind, the standard's name, the factor of doubt, a note."""

    kind: str = "estimate"
    ref: str = ""
    doubt: float = 0.0
    note: str = ""


@dataclass(frozen=True, slots=True)
class Option:
    """What differs between machines of a pack."""

    id: str
    ask: str
    values: tuple[str, ...]
    default: str | None = None
    only_if: OnlyIf = ()


@dataclass(frozen=True, slots=True)
class Fact:
    """History: what the owner tells, used as a reading (reported, denied, not_known)."""

    id: str
    ask: str
    base: float
    raises: Mapping[str, float]
    minutes: float = 0.2
    only_if: OnlyIf = ()


@dataclass(frozen=True, slots=True)
class Move:
    """One change of bench state."""

    id: str
    change: Mapping[str, str]
    needs: Needs
    minutes: float
    do: str
    hazards: tuple[str, ...] = ()
    after: tuple[After, ...] = ()
    only_if: OnlyIf = ()


@dataclass(frozen=True, slots=True)
class Bench:
    """Conditions with their values, where a machine starts, where it must be handed back."""

    conditions: Mapping[str, tuple[str, ...]]
    start: Mapping[str, str]
    states: Mapping[str, Needs]
    hand_back: Needs
    moves: Mapping[str, Move]


@dataclass(frozen=True, slots=True)
class Instrument:
    """A tool of the shop; `accuracy` by quantity."""

    id: str
    title: str
    may_lack: bool = False
    counts: int = 6000
    accuracy: Mapping[str, Accuracy] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Skill:
    """What the person at the bench may not be trained for."""

    id: str
    title: str


@dataclass(frozen=True, slots=True)
class Hazard:
    """A caution with its signal word (DANGER, WARNING, CAUTION, NOTICE: ANSI Z535 / ISO 3864)."""

    id: str
    signal: str
    say: str


@dataclass(frozen=True, slots=True)
class Stop:
    """A reading that ends the work for safety."""

    id: str
    signal: str
    say: str


@dataclass(frozen=True, slots=True)
class Remark:
    """Seen on the way, not the fault, belongs in the report."""

    id: str
    say: str
    look_when: Needs
    only_if: OnlyIf = ()


@dataclass(frozen=True, slots=True)
class Seen:
    """How one sees that a symptom is gone."""

    needs: Needs
    minutes: float = 0.0
    wait: float = 0.0
    how: str = ""
    hazards: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Symptom:
    """What the owner reports; where a walk starts."""

    id: str
    title: str
    seen: Seen


@dataclass(frozen=True, slots=True)
class Effect:
    """A physical consequence between cause and reading; `leads_to` by noisy-OR."""

    id: str
    title: str
    leads_to: Mapping[str, float]
    only_if: OnlyIf = ()


@dataclass(frozen=True, slots=True)
class Cause:
    """What a repair would remove; `weight` is its share of jobs on machines that can have it."""

    id: str
    title: str
    weight: float
    leads_to: Mapping[str, float]
    only_if: OnlyIf = ()
    origin: Origin = Origin()


@dataclass(frozen=True, slots=True)
class When:
    """A condition of a rule: ``op`` is id, any, all or not; ``id`` stands for op id."""

    op: str
    id: str = ""
    parts: tuple[When, ...] = ()


@dataclass(frozen=True, slots=True)
class Rule:
    """`gives` is the distribution of outcomes where `when` holds (None: otherwise)."""

    when: When | None
    gives: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Outcome:
    """The class that a reading falls in.

    ``ranges`` is one text under the key "" or a text by the value of the option ``by``.
    """

    id: str
    say: str
    ranges: Mapping[str, str] = field(default_factory=dict)
    by: str = ""
    share: str = ""
    of: str = ""
    otherwise: bool = False
    see_also: str = ""
    leaves: Mapping[str, str] = field(default_factory=dict)
    bars: Needs = field(default_factory=dict)
    until: tuple[After, ...] = ()
    stop: str = ""
    origin: Origin = Origin()


@dataclass(frozen=True, slots=True)
class Measurement:
    """Anything asked of the machine; without `reads` it is a check (passed, failed)."""

    id: str
    title: str
    how: str
    where: str
    at: tuple[float, float] | None
    instrument: tuple[tuple[str, ...], ...]
    skill: tuple[str, ...]
    quantity: str
    needs: Needs
    after: tuple[After, ...]
    minutes: float
    wait: float
    hazards: tuple[str, ...]
    outcomes: Mapping[str, Outcome]
    reads: tuple[Rule, ...]
    misread: float
    with_: str = ""
    same_as: tuple[str, ...] = ()
    only_if: OnlyIf = ()
    origin: Origin = Origin()

    @property
    def is_check(self) -> bool:
        """A check proves and says nothing of causes."""
        return not self.reads

    @property
    def healthy(self) -> str:
        """The outcome that a healthy machine gives most often; "" for a check."""
        last = self.reads[-1].gives if self.reads else {}
        return max(last, key=lambda outcome: last[outcome]) if last else ""


@dataclass(frozen=True, slots=True)
class Repair:
    """An action that removes causes; it can fail (`fixes` < 1) and do harm (`risk`)."""

    id: str
    title: str
    how: str
    instrument: tuple[tuple[str, ...], ...]
    skill: tuple[str, ...]
    needs: Needs
    after: tuple[After, ...]
    minutes: float
    wait: float
    parts: float
    risk: float
    fixes: Mapping[str, float]
    steps: tuple[str, ...]
    hazards: tuple[str, ...]
    prove: tuple[str, ...]
    only_if: OnlyIf = ()
    where: str = ""
    origin: Origin = Origin()


@dataclass(frozen=True, slots=True)
class Refer:
    """The end by quoting: a replacement board, a specialist, uneconomic."""

    title: str
    minutes: float
    parts: float
    needs: Needs
    how: str = ""


@dataclass(frozen=True, slots=True)
class Economics:
    """How parts, risk and waiting become bench minutes."""

    currency: str = ""
    labour_per_hour: float = 0.0
    loss: float = 0.0
    wait_weight: float = 0.0
    wait_cap: float | None = None

    def money_minutes(self, money: float) -> float:
        """`money` as bench minutes; 0 where no labour rate is stated."""
        return money * 60.0 / self.labour_per_hour if self.labour_per_hour > 0 else 0.0

    def wait_minutes(self, wait: float) -> float:
        """`wait` unattended minutes as bench minutes."""
        weighted = wait * self.wait_weight
        return weighted if self.wait_cap is None else min(weighted, self.wait_cap)


@dataclass(frozen=True, slots=True)
class Sketch:
    """Outline and landmarks of a board's top side, in millimetres."""

    outline: tuple[tuple[float, float], ...] = ()
    parts: Mapping[str, tuple[tuple[float, float, float, float], str]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class BoardSheet:
    """What a board sheet adds that is not a change of the pack: its title, sketch, good readings."""

    id: str
    title: str
    sketch: Sketch = Sketch()
    good_board: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Pack:
    """One knowledge pack, with a board sheet's values already in it where one was given."""

    id: str
    title: str
    version: str
    about: str
    unlisted: float
    misread: float
    pairs: float
    confidence: float
    economics: Economics
    options: Mapping[str, Option]
    history: Mapping[str, Fact]
    bench: Bench
    instruments: Mapping[str, Instrument]
    skills: Mapping[str, Skill]
    hazards: Mapping[str, Hazard]
    symptoms: Mapping[str, Symptom]
    effects: Mapping[str, Effect]
    causes: Mapping[str, Cause]
    measurements: Mapping[str, Measurement]
    repairs: Mapping[str, Repair]
    refer: Refer | None
    always_first: tuple[str, ...]
    closing: tuple[str, ...]
    stops: Mapping[str, Stop]
    remarks: Mapping[str, Remark]
    known_options: Mapping[str, str] = field(default_factory=dict)
    board: BoardSheet | None = None
    hash: str = ""
    files: Mapping[str, str] = field(default_factory=dict, repr=False)
    #: The merged plain data this pack was built from: what a record keeps, so that it can be replayed.
    data: Mapping[str, Any] = field(default_factory=dict, repr=False, compare=False)

    def title_of(self, id_: str) -> str:
        """What `id_` is called on a screen, whatever its kind; the id itself where unknown."""
        for kind in (
            self.causes,
            self.effects,
            self.measurements,
            self.repairs,
            self.symptoms,
            self.instruments,
            self.skills,
        ):
            if id_ in kind:
                return str(kind[id_].title)
        for asked in (self.options, self.history):
            if id_ in asked:
                return str(asked[id_].ask)
        for said in (self.remarks, self.stops, self.hazards):
            if id_ in said:
                return str(said[id_].say)
        own = {"unlisted": "something this pack does not know", "seen": "the symptom looked for and gone"}
        return own.get(id_, id_)
