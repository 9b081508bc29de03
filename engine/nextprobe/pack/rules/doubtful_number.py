"""Numbers that are allowed but hardly meant."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from nextprobe.errors import QuantityError
from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Path
from nextprobe.quantity import parse_minutes

CODE = "NP333"
TITLE = "A number that is hardly meant"
SEVERITY = "warning"
_DAY = 24 * 60
#: Key at the top of the pack -> the largest share that is plausible.
_SHARES = {"unlisted": 0.3, "misread": 0.2, "pairs": 0.5}


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for implausible times, shares, chances and factors."""
    for key, most in _SHARES.items():
        if _number(ctx.data.get(key)) > most:
            yield Note(
                (key,),
                f"`{key}` is {ctx.data[key]}: more than {most} is hardly meant.",
                "A share of 2 % is written 0.02.",
            )
    for entry in ctx.steps():
        yield from _time(entry.row.get("minutes"), (*entry.path, "minutes"), 10 * 60, "hands-on minutes")
        yield from _time(entry.row.get("wait"), (*entry.path, "wait"), 14 * _DAY, "minutes of waiting")
    for entry in ctx.entries("measurements"):
        if _number(entry.row.get("misread")) > _SHARES["misread"]:
            yield Note(
                (*entry.path, "misread"),
                f"`misread` is {entry.row['misread']}: the reading would be hardly worth asking.",
                "A chance of 2 % is written 0.02.",
            )
    for entry in ctx.entries("repairs"):
        if _number(entry.row.get("risk")) > 0.5:
            yield Note(
                (*entry.path, "risk"),
                f"`risk` is {entry.row['risk']}: most machines would be lost.",
                "15 % is written 0.15.",
            )
        for cause, chance in _items(entry.row.get("fixes")):
            if chance == 0:
                yield Note(
                    (*entry.path, "fixes", cause), f"`{entry.id}` fixes `{cause}` with chance 0.", "Delete the entry."
                )
    for entry in ctx.entries("history"):
        base = _number(entry.row.get("base"))
        for cause, factor in _items(entry.row.get("raises")):
            if base * factor > 1 + 1e-9:
                yield Note(
                    (*entry.path, "raises", cause),
                    f"{base} × {factor} is more than 1.",
                    "It counts as 1; lower one of them.",
                )


def _items(value: Any) -> list[tuple[str, float]]:
    return list(value.items()) if isinstance(value, dict) else []


def _number(value: Any) -> float:
    return float(value) if isinstance(value, (int, float)) else 0.0


def _time(value: Any, path: Path, most: float, what: str) -> Iterator[Note]:
    try:
        minutes = parse_minutes(value) if value is not None else 0.0
    except QuantityError:
        return  # said by the rule for times
    if minutes > most:
        yield Note(path, f"{minutes:g} {what} are hardly meant.", "A bare number is minutes; write `24 h` for hours.")
