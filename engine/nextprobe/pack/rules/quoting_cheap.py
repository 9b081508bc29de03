"""Quoting so cheap that every plan quotes at once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from nextprobe.errors import QuantityError
from nextprobe.pack.context import Context, Note, Row
from nextprobe.quantity import parse_minutes

CODE = "NP351"
TITLE = "Quoting is cheaper than every repair"
SEVERITY = "warning"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note when, for every cause, its cheapest repair (its chance, else quoting) costs no less than quoting."""
    refer = ctx.data.get("refer")
    if not isinstance(refer, dict):
        return
    money = _Money(ctx.block("economics"))
    quote = money.step(refer, parts=float(refer.get("parts", money.loss)))
    best: dict[str, float] = {}
    for entry in ctx.entries("repairs"):
        fixes = entry.row.get("fixes")
        price = money.step(
            entry.row, parts=float(entry.row.get("parts", 0)) + float(entry.row.get("risk", 0)) * money.loss
        )
        for cause, chance in (fixes if isinstance(fixes, dict) else {}).items():
            if chance > 0:
                best[cause] = min(best.get(cause, float("inf")), price + (1 - chance) * quote)
    if best and all(cost >= quote for cost in best.values()):
        cheapest = min(best, key=lambda cause: best[cause])
        message = (
            f"Quoting costs {quote:.0f} minutes; the cheapest repair, for `{cheapest}`, costs {best[cheapest]:.0f} "
            "with quoting as its fallback: every plan quotes at once."
        )
        cure = (
            "State `economics` (labour_per_hour, loss) and the price of a new one, so that quoting costs what it costs."
        )
        yield Note(("refer",), message, cure, True)


class _Money:
    """Bench minutes of time, waiting and money, as the pack's economics say."""

    def __init__(self, economics: Row) -> None:
        self.loss = float(economics.get("loss", 0))
        labour = float(economics.get("labour_per_hour", 0))
        self.per_money = 60 / labour if labour > 0 else 0.0
        self.weight = float(economics.get("wait_weight", 0))
        self.cap = _minutes(economics["wait_cap"]) if "wait_cap" in economics else float("inf")

    def step(self, row: Row, parts: float) -> float:
        """Minutes of one repair or of quoting, without moves and proofs."""
        wait = min(_minutes(row.get("wait", 0)) * self.weight, self.cap)
        return _minutes(row.get("minutes", 0)) + wait + parts * self.per_money


def _minutes(value: Any) -> float:
    try:
        return parse_minutes(value)
    except QuantityError:
        return 0.0
