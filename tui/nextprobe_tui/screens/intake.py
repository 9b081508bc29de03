"""What is known of the machine before the first step: one screen of rows, none of which must be filled in."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from nextprobe_tui.screens.aside import Aside
from nextprobe_tui.screens.intake_money import money_of
from nextprobe_tui.screens.intake_questions import HEADINGS, Draft, Intake, Question, questions, told
from nextprobe_tui.screens.prompt import Prompt
from nextprobe_tui.words import money

if TYPE_CHECKING:
    from nextprobe.pack.pack import Pack

BEGIN, LIMIT = " begin", " limit"
#: Values wider than this do not push the others away.
WIDEST = 32
#: Columns that a scrolling list keeps free, and the least that is worth wrapping into.
SCROLLBAR, LEAST = 3, 20


class IntakeScreen(Aside[Intake]):
    """Rows whose values are changed in place; Enter on the first row begins the job.

    left: what was given before the person went back.
    """

    name_shown = "Before you begin: what is known already"
    lead = "← → change a row; what is left alone is asked when it is needed. Home, then Enter begins."
    # The arrows belong to the rows of this screen, as the lead says.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "turn(-1)", show=False, priority=True),
        Binding("right", "turn(1)", show=False, priority=True),
    ]

    def __init__(
        self,
        pack: Pack,
        lacks: tuple[str, ...] = (),
        limit: float | None = None,
        *,
        symptom: str | None = None,
        left: Draft | None = None,
    ) -> None:
        super().__init__()
        left = left or Draft()
        self._pack = pack
        self._lacks = lacks
        self._limit = left.limit if left.begun else limit
        self._questions = questions(pack, lacks, symptom)
        given = [left.rows.get(question.key, question.first) for question in self._questions]
        self._now = [
            value if value in question.values else question.first
            for question, value in zip(self._questions, given, strict=True)
        ]

    def given(self) -> tuple[dict[str, str], float | None]:
        """The value of every row by its key, and the limit, as they stand now."""
        rows = {question.key: now for question, now in zip(self._questions, self._now, strict=True)}
        return rows, self._limit

    def compose_body(self) -> ComposeResult:
        first = Content.assemble(("BEGIN THE JOB", "bold"), "  with what is known below")
        rows: list[Option | None] = [Option(first, id=BEGIN), Option(self._limit_line(), id=LIMIT)]
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

    def on_resize(self) -> None:
        """What is asked is wrapped by the width."""
        rows = self.query_one(OptionList)
        for number in range(len(self._questions)):
            rows.replace_option_prompt(str(number), self._line(number))

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
            self.dismiss(told(self._questions, self._now, self._lacks, self._limit))
        elif event.option.id == LIMIT:
            lead = f"What the owner will pay at most, in {self._currency or 'money'}. Empty: no limit was agreed."
            start = "" if self._limit is None else money(self._limit, "")
            self.app.push_screen(Prompt("The owner's limit", lead, start=start, check=self._understood), self._agreed)
        else:
            self.action_turn(1)

    @property
    def _currency(self) -> str:
        return self._pack.economics.currency

    def _understood(self, typed: str) -> str:
        limit = money_of(typed, self._currency)
        return "no limit" if limit is None else f"at most {money(limit, self._currency)}"

    def _agreed(self, typed: str | None) -> None:
        if typed is not None:
            self._limit = money_of(typed, self._currency)
            self.query_one(OptionList).replace_option_prompt(LIMIT, self._limit_line())

    def _limit_line(self) -> str:
        agreed = "none agreed" if self._limit is None else money(self._limit, self._currency)
        return f"The owner's limit: {agreed}"

    def _line(self, number: int) -> Content:
        question, now = self._questions[number], self._now[number]
        # The values come first, so that they stand under one another; what is asked is wrapped under itself.
        alike = [_width(other) for other in self._questions if other.kind == question.kind]
        at = 4 + max(min(max(alike), WIDEST), _width(question))
        wide = self.app.size.width - SCROLLBAR
        if wide - at < LEAST:
            return self._below(question, now, wide)
        air = " " * (at - 2 - _width(question))
        say = ("\n" + " " * at).join(textwrap.wrap(question.say, wide - at))
        return Content.assemble("  ", *(_marked(value, now) for value in question.values), air, say)

    def _below(self, question: Question, now: str, wide: int) -> Content:
        """What is asked in lines of its own, above values that need all the room."""
        lines = [Content(f"  {line}") for line in textwrap.wrap(question.say, wide - 2)]
        line = Content("   ")
        for value in question.values:
            if len(line) > 3 and len(line) + len(value) + 2 > wide:
                lines.append(line)
                line = Content("   ")
            line = Content.assemble(line, _marked(value, now))
        return Content("\n").join([*lines, line])


def _marked(value: str, now: str) -> Content:
    shown = value.replace("_", " ")
    return Content.styled(f"[{shown}]", "bold") if value == now else Content(f" {shown} ")


def _width(question: Question) -> int:
    return sum(len(value) + 2 for value in question.values)
