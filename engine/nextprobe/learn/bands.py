"""What good boards of one kind read: a tolerance interval for each measurement, from boards that were proven good.

A figure counts where it was read behind the repair that made the board good, or before it where the pack says that what
was wrong has no bearing on that measurement: of the causes that the repair can have cured, none leads to a rule of it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from nextprobe.errors import QuantityError
from nextprobe.learn.case import Case
from nextprobe.learn.tolerance import tolerance_factor
from nextprobe.pack.pack import Pack
from nextprobe.walk.reading import ranges_of

#: Boards that are wanted before an interval says anything: fewer make it wider than any limit.
BOARDS = 8
CONTENT = CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class GoodBand:
    """What good boards of the kind `board` read of a measurement, in its base unit.

    before: the pack's range of a healthy one as written, "" where none is plain. low, high: hold 95 % of all good
    boards with 95 % confidence; None where there are too few.
    """

    board: str
    measurement: str
    title: str
    quantity: str
    before: str
    middle: float
    low: float | None
    high: float | None
    boards: int


def bands_of_good(
    pack: Pack,
    cases: Sequence[Case],
    bears: Callable[[int, str], bool] = lambda place, measurement: True,
    sheets: Mapping[str, Pack] | None = None,
) -> list[GoodBand]:
    """A band for each board and measurement that good boards were read on, in the order of the pack.

    bears: whether what was wrong in the case at a place can have a bearing on a measurement. sheets: the pack with each
    board's sheet, where there is one: its limits are those before.
    """
    found: dict[tuple[str, str], list[float]] = {}
    options: dict[tuple[str, str], dict[str, str]] = {}
    for place, case in enumerate(cases):
        for one in case.good:
            if not one.after and bears(place, one.measurement):
                continue
            found.setdefault((case.board, one.measurement), []).append(one.value)
            options.setdefault((case.board, one.measurement), dict(case.options))
    order = {key: place for place, key in enumerate(pack.measurements)}
    keys = sorted(found, key=lambda key: (key[0], order.get(key[1], len(order))))
    of = sheets or {}
    return [_band(of.get(key[0], pack), key, found[key], options[key]) for key in keys if key[0] and key[1] in order]


def _band(pack: Pack, key: tuple[str, str], values: Sequence[float], options: dict[str, str]) -> GoodBand:
    measured = pack.measurements[key[1]]
    try:
        ranges = ranges_of(measured, options, {}, pack) or {}
    except QuantityError:
        ranges = {}
    middle = float(np.median(values))
    low = high = None
    if len(values) >= BOARDS:
        reach = tolerance_factor(len(values), CONTENT, CONFIDENCE) * float(np.std(values, ddof=1))
        low, high = float(np.mean(values)) - reach, float(np.mean(values)) + reach
    healthy = measured.healthy or ("passed" if measured.is_check else "")
    return GoodBand(
        key[0], key[1], measured.title, measured.quantity, ranges.get(healthy, ""), middle, low, high, len(values)
    )
