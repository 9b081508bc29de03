"""Why this step: the reason, what else could be next, what it may be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from textual.app import ComposeResult

from nextprobe.walk.words import bound_words, lead_words, more_words, odds
from nextprobe_tui.screens.aside import Aside, heading
from nextprobe_tui.widgets.row import Row
from nextprobe_tui.words import SHORT_KINDS, kind_word

if TYPE_CHECKING:
    from nextprobe.pack.pack import Pack
    from nextprobe.walk import Ask

SHOWN = 12
"""Causes and candidates beyond these are too many to read at the bench."""


class WhyScreen(Aside[None]):
    """Reasons in plain words; belief as odds."""

    name_shown = "Why this step"

    def __init__(self, ask: Ask, belief: Mapping[str, float], pack: Pack) -> None:
        super().__init__()
        self._ask = ask
        self._belief = belief
        self._pack = pack

    def rows(self) -> ComposeResult:
        ask = self._ask
        yield Row("STEP", f"{kind_word(ask.kind, ask.quantity)} {ask.title}", strong=True)
        yield Row("WHY", ask.why or "It is due now, whatever the causes are.")
        if ask.most_likely:
            yield Row("SO FAR", ask.most_likely)
        if ask.retake:
            yield Row("DOUBT", f"{self._pack.title_of(ask.retake)}: {ask.retake_why}")
        others = [candidate for candidate in ask.ranking if candidate.id != ask.id]
        if others:
            yield heading("What else could be next, and what it would cost more")
        for candidate in others[:SHOWN]:
            word = SHORT_KINDS.get(candidate.kind, candidate.kind).capitalize()
            yield Row(word, f"{candidate.title}: {more_words(candidate)}")
        if ask.leads:
            yield heading("What each answer would mean")
            for lead in ask.leads[:SHOWN]:
                yield Row("", lead_words(self._pack, lead))
        if ask.at_least:
            yield Row("BEST", bound_words(ask.expected, ask.at_least))
        yield heading("What it may be")
        ordered = sorted(self._belief.items(), key=lambda item: -item[1])
        for cause, chance in ordered[:SHOWN]:
            yield Row("", f"{self._pack.title_of(cause)}: {odds(chance)}")
        if len(ordered) > SHOWN:
            rest = sum(chance for _, chance in ordered[SHOWN:])
            yield Row("", f"and {len(ordered) - SHOWN} more, together {odds(rest)}")
