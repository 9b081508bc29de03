"""Plain words for what the screens show: time, money, odds, and what kind of step it is."""

from __future__ import annotations

from textual.content import Content

KINDS = {
    "option": "FIND OUT",
    "history": "ASK THE OWNER",
    "measure": "CHECK",
    "check": "PROVE",
    "repair": "REPAIR",
    "refer": "QUOTE",
    "done": "DONE",
}
"""The heading word of each kind of ask."""

ENDINGS = {
    "repaired": "REPAIRED",
    "referred": "TO BE QUOTED",
    "handed_over": "TO BE HANDED OVER",
    "stopped": "STOPPED",
    "found": "FOUND",
    "unknown": "NOT KNOWN TO THIS PACK",
    "left": "LEFT",
}
"""The heading word of each ending."""


SHORT_KINDS = {**KINDS, "history": "ASK"}
"""As KINDS, for a narrow column."""


def kind_word(kind: str, quantity: str = "") -> str:
    """The heading word of a step; a reading with a figure is measured, anything else is looked at."""
    return "MEASURE" if kind == "measure" and quantity else KINDS.get(kind, kind.upper())


def minutes(value: float) -> str:
    """`value` minutes as one says them: 20 s, 2 min, 1 h 30, 24 h."""
    if value < 0.95:
        seconds = round(value * 60 / 5) * 5
        return f"{seconds} s" if seconds else "no time"
    if value < 10 and abs(value - round(value)) >= 0.05:
        return f"{value:.1f} min"
    whole = round(value)
    if whole < 120:
        return f"{whole} min"
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest:02d}" if rest else f"{hours} h"


def money(value: float, currency: str) -> str:
    """`value` in `currency`, without cents where there are none."""
    figure = f"{value:.0f}" if abs(value - round(value)) < 0.005 else f"{value:.2f}"
    return f"{figure} {currency}".strip()


def spent(hands_on: float, wait: float, parts: float, currency: str) -> str:
    """Minutes, waiting and money beside each other; waiting and money only where there are any."""
    said = [minutes(hands_on)]
    if wait > 0:
        said.append(f"+ {minutes(wait)} waiting")
    if parts > 0:
        said.append(f"+ {money(parts, currency)} parts")
    return " ".join(said)


def said(title: str, answer: str) -> str:
    """A step and what was told of it, as one sentence."""
    return f"{title}{'' if title.endswith('?') else ':'} {answer.rstrip('.')}."


def plain(text: str) -> Content:
    """`text` as it is: what stands in square brackets in a pack is no markup."""
    return Content(text)


def clock_words(passed: float) -> str:
    """Minutes by the clock, as ``3:07``; from an hour on as ``1:03:07``."""
    seconds = int(passed * 60)
    hours, rest = divmod(seconds, 3600)
    lead = f"{hours}:{rest // 60:02d}" if hours else f"{rest // 60}"
    return f"{lead}:{rest % 60:02d}"
