"""Ranges of readings: their text, and ends that are other outcomes' ends."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

from nextprobe.errors import QuantityError
from nextprobe.quantity.figure import split_figure, tidy
from nextprobe.quantity.units import EXAMPLES, base_unit, parse_quantity

_ID = re.compile(r"[a-z][a-z0-9_]*")
_SPREAD = re.compile(r"(.+?)\s*(?:±|\+/-|\+-)\s*(.+)")

Others = Mapping[str, "Callable[[], Band]"]


@dataclass(frozen=True, slots=True)
class Band:
    """A range of readings from `low` to before `high`; -inf and inf where an end is open."""

    low: float
    high: float

    def contains(self, x: float) -> bool:
        """Whether `x` lies in it; over-limit (inf) lies in a band that is open above."""
        return self.low <= x < self.high or (math.isinf(x) and x > 0 and math.isinf(self.high))


def parse_band(text: str, quantity: str, others: Others) -> Band:
    """The range that `text` means, in the base unit of `quantity`.

    ``below 0.2 V``, ``above 10 kohm``, ``1.14 V .. 1.26 V``, ``1.2 V ± 5 %`` (of the figure; also
    ``+/-``, also with a unit: ``1.2 V ± 0.06 V``). An end may be another outcome's id, which
    `others` answers: ``absent .. normal`` runs from the upper end of absent to the lower of
    normal, ``below normal`` up to its lower end, ``above normal`` from its upper end.

    Raises QuantityError when it cannot be read, a unit is of another quantity, an id is unknown
    or open at the end that is wanted, or the lower end does not lie below the upper.
    """
    base_unit(quantity)
    shown = tidy(text)
    word, _, rest = shown.partition(" ")
    if word == "below":
        band = Band(-math.inf, _end(rest, quantity, others, shown, upper=False))
    elif word == "above":
        band = Band(_end(rest, quantity, others, shown, upper=True), math.inf)
    elif ".." in shown:
        low, _, high = shown.partition("..")
        band = Band(
            _end(low, quantity, others, shown, upper=True),
            _end(high, quantity, others, shown, upper=False),
        )
    elif spread := _SPREAD.fullmatch(shown):
        band = _spread(spread[1], spread[2], quantity)
    else:
        example = EXAMPLES[quantity]
        raise QuantityError(
            f"'{shown}' is not a range.",
            f"Write it as in 'below {example}', 'above {example}', 'LOW .. HIGH' or '{example} ± 5 %'.",
        )
    if not band.low < band.high:
        raise QuantityError(
            f"'{shown}' is empty: its lower end does not lie below its upper end.",
            "Write the lower end first.",
        )
    return band


def resolve_bands(raw: Mapping[str, str], quantity: str) -> dict[str, Band]:
    """All ranges of one measurement, by outcome id in the order of `raw`.

    Raises QuantityError as parse_band does, and when ranges lean on each other in a circle.
    """
    done: dict[str, Band] = {}
    under_way: list[str] = []

    def band(name: str) -> Band:
        if name in done:
            return done[name]
        if name in under_way:
            circle = " -> ".join([*under_way[under_way.index(name) :], name])
            raise QuantityError(f"These ranges lean on each other in a circle: {circle}.", "Give one of them a figure.")
        under_way.append(name)
        done[name] = parse_band(raw[name], quantity, others)
        under_way.pop()
        return done[name]

    others = {name: partial(band, name) for name in raw}
    return {name: band(name) for name in raw}


def _end(text: str, quantity: str, others: Others, whole: str, *, upper: bool) -> float:
    """One end: a figure, or the upper or lower end of the outcome that `text` names."""
    text = text.strip()
    if not _ID.fullmatch(text):
        if not text:
            raise QuantityError(f"'{whole}' lacks an end.", f"Write a figure there, as in {EXAMPLES[quantity]}.")
        return parse_quantity(text, quantity).value
    if text not in others:
        known = ", ".join(others) or "none"
        raise QuantityError(
            f"'{whole}' names '{text}', which is no outcome with a range here.",
            f"Outcomes with a range: {known}; or write a figure, as in {EXAMPLES[quantity]}.",
        )
    found = others[text]()
    end = found.high if upper else found.low
    if math.isinf(end):
        side = "above" if upper else "below"
        raise QuantityError(
            f"'{whole}' wants the end of '{text}', but '{text}' is open {side}.",
            f"Write a figure there, as in {EXAMPLES[quantity]}.",
        )
    return end


def _spread(middle: str, part: str, quantity: str) -> Band:
    centre = parse_quantity(middle, quantity).value
    figure = split_figure(part)
    if figure is not None and figure.unit == "%":
        half = abs(centre) * float(figure.number) / 100
    else:
        half = parse_quantity(part, quantity).value
    if half <= 0:
        raise QuantityError(f"'± {part}' leaves no width.", "Write a spread above 0, as in ± 5 %.")
    # 1.2 V ± 5 % shall end at 1.26 V, not one rounding error beside it.
    return Band(_neat(centre - half), _neat(centre + half))


def _neat(x: float) -> float:
    return float(f"{x:.12g}")
