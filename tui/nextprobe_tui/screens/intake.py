"""What is known of the machine before the first step: one screen of rows, none of which must be filled in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from nextprobe.errors import UnreadableError
from nextprobe_tui.screens.aside import Aside
from nextprobe_tui.screens.prompt import Prompt

if TYPE_CHECKING:
    from nextprobe.pack.pack import Pack

NOT_KNOWN, BEGIN, LIMIT = "not known", " begin", " limit"
YES, NO = "yes", "no"
HERE, LACKING = "here", "lacking"


@dataclass(frozen=True)
class Intake:
    """What was told: options, facts (id to reported or denied), what lacks, the owner's limit, the bench."""

    options: Mapping[str, str] = field(default_factory=dict)
    facts: Mapping[str, str] = field(default_factory=dict)
    lacks: tuple[str, ...] = ()
    limit: float | None = None
    bench: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Question:
    """One row: what it is about, its values, and the one that stands at first."""

    kind: str
    id: str
    say: str
    values: tuple[str, ...]
    first: str


class IntakeScreen(Aside[Intake]):
    """Rows whose values are changed in place; Enter on the first row begins the job."""

    name_shown = "Before you begin: what is known already"
    lead = "← → (or Enter) change a row; what is left alone is asked when needed. Enter on the first row begins."
    # The arrows belong to the rows of this screen, as the lead says.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "turn(-1)", show=False, priority=True),
        Binding("right", "turn(1)", show=False, priority=True),
    ]

    def __init__(self, pack: Pack, lacks: tuple[str, ...] = (), limit: float | None = None) -> None:
        super().__init__()
        self._pack = pack
        self._limit = limit
        self._questions = questions(pack, lacks)
        self._now = [question.first for question in self._questions]

    def compose_body(self) -> ComposeResult:
        rows: list[Option | None] = [Option("Begin the job", id=BEGIN), Option(self._limit_line(), id=LIMIT)]
        kind = ""
        for number, question in enumerate(self._questions):
            if question.kind != kind:
                kind = question.kind
                rows += [None, Option(HEADINGS[kind], disabled=True)]
            rows.append(Option(self._line(number), id=str(number)))
        yield OptionList(*rows, markup=False)

    def on_mount(self) -> None:
        rows = self.query_one(OptionList)
        rows.highlighted = 0
        rows.focus()

    def action_turn(self, by: int) -> None:
        """Give the highlighted row its next value, or the one before."""
        rows = self.query_one(OptionList)
        id_ = "" if rows.highlighted is None else rows.get_option_at_index(rows.highlighted).id or ""
        if not id_.isdecimal():
            return
        number = int(id_)
        values = self._questions[number].values
        self._now[number] = values[(values.index(self._now[number]) + by) % len(values)]
        rows.replace_option_prompt(id_, self._line(number))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        if event.option.id == BEGIN:
            self.dismiss(self._told())
        elif event.option.id == LIMIT:
            currency = self._pack.economics.currency
            lead = f"What the owner will pay at most, in {currency or 'money'}. Empty: no limit was agreed."
            self.app.push_screen(Prompt("The owner's limit", lead), self._set_limit)
        else:
            self.action_turn(1)

    def _set_limit(self, typed: str | None) -> None:
        if typed is None:
            return
        try:
            self._limit = money_of(typed)
        except UnreadableError as error:
            self.notify(str(error), severity="error")
            return
        self.query_one(OptionList).replace_option_prompt(LIMIT, self._limit_line())

    def _limit_line(self) -> str:
        agreed = "none agreed" if self._limit is None else f"{self._limit:g} {self._pack.economics.currency}".rstrip()
        return f"The owner's limit: {agreed}"

    def _told(self) -> Intake:
        of: dict[str, dict[str, str]] = {kind: {} for kind in HEADINGS}
        for question, value in zip(self._questions, self._now, strict=True):
            if value != question.first or question.kind == "lacks":
                of[question.kind][question.id] = value
        return Intake(
            options=of["options"],
            facts={id_: "reported" if value == YES else "denied" for id_, value in of["facts"].items()},
            lacks=tuple(id_ for id_, value in of["lacks"].items() if value == LACKING),
            limit=self._limit,
            bench=of["bench"],
        )

    def _line(self, number: int) -> Content:
        question, now = self._questions[number], self._now[number]
        parts: list[str | tuple[str, str]] = []
        for value in question.values:
            shown = value.replace("_", " ")
            parts.append((f"[{shown}]", "bold") if value == now else f" {shown} ")
        # The values come first, so that they stand under one another.
        alike = [_width(other) for other in self._questions if other.kind == question.kind]
        air = " " * (min(max(alike), WIDEST) - _width(question))
        return Content.assemble("  ", *parts, air, "  ", question.say)


def _width(question: Question) -> int:
    return sum(len(value) + 2 for value in question.values)


#: Values wider than this do not push the others away.
WIDEST = 32

#: The kinds of rows in their order, and what stands above each.
HEADINGS = {
    "facts": "What the owner tells",
    "bench": "How the machine stands before you",
    "options": "What is fitted",
    "lacks": "What this shop has today",
}


def questions(pack: Pack, lacks: tuple[str, ...]) -> list[Question]:
    """All rows of a pack: facts, bench, options that its board leaves open, what may be lacking."""
    rows = [Question("facts", fact.id, fact.ask, (NOT_KNOWN, YES, NO), NOT_KNOWN) for fact in pack.history.values()]
    for name, values in pack.bench.conditions.items():
        rows.append(Question("bench", name, name.replace("_", " "), tuple(values), pack.bench.start[name]))
    for option in pack.options.values():
        if option.id not in pack.known_options:
            rows.append(Question("options", option.id, option.ask, (NOT_KNOWN, *option.values), NOT_KNOWN))
    titles = {one.id: one.title for one in pack.instruments.values() if one.may_lack}
    titles |= {one.id: one.title for one in pack.skills.values()}
    for id_, title in titles.items():
        rows.append(Question("lacks", id_, title, (HERE, LACKING), LACKING if id_ in lacks else HERE))
    return rows


def money_of(typed: str) -> float | None:
    """Money as typed: "150", "150,50"; None for nothing. Raises UnreadableError."""
    word = typed.strip().replace(",", ".")
    if not word:
        return None
    try:
        money = float(word)
    except ValueError:
        money = -1.0
    if not 0 <= money < 1e9:
        raise UnreadableError(f"{typed.strip()!r} is no sum of money.", "Type it as in 150, or nothing for no limit.")
    return money
