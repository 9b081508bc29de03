"""What a written figure is made of: a number, the weight of its last digit, the unit behind it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from nextprobe.errors import QuantityError

LONGEST = 64
"""More characters than this are no figure; it also bounds the arithmetic on what strangers type."""

_SAME = str.maketrans(
    {
        "\u2126": "\u03a9",  # the ohm sign is the Greek capital omega
        "\u00b5": "u",  # both micro signs
        "\u03bc": "u",
        "\u2103": "\u00b0C",
        "\u2212": "-",  # the minus sign
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\t": " ",
    }
)
# ASCII digits only: int() and \d take every script's digits, and a superscript would be misread.
_PLAIN = re.compile(r"([+-]?)([0-9]*)(?:([.,])([0-9]*))?(?:[eE]([+-]?[0-9]{1,3}))?\s*([^\s0-9.,].*)?")
_CODE = re.compile(r"([+-]?)([0-9]*)([VARWFkKMGmupn])([0-9]+)")


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure as written. ``half`` is half of the last written digit, in the written unit."""

    number: Decimal
    half: Decimal
    unit: str
    coded: bool
    """Whether the unit stood in the place of the decimal point (RKM code, IEC 60062)."""
    comma: bool
    """Whether the decimal sign was a comma."""


def tidy(text: str) -> str:
    """`text` without outer blanks, every sign that has several code points in one of them."""
    return text.translate(_SAME).strip()


def split_figure(text: str) -> Figure | None:
    """The parts of `text`, or None when it does not begin with a number.

    One decimal sign, point or comma; ``1,190`` is 1.190 for both, since a meter shows no
    thousands separator. ``4R7`` is 4.7 with the unit R, ``R47`` is 0.47.

    Raises QuantityError when the figure is too long to be one.
    """
    text = tidy(text)
    if len(text) > LONGEST:
        raise QuantityError(f"'{text[:20]}…' is too long for a figure.", f"At most {LONGEST} characters are read.")
    if found := _CODE.fullmatch(text):
        sign, whole, unit, part = found.groups()
        return _figure(sign, whole, part, 0, unit, coded=True)
    found = _PLAIN.fullmatch(text)
    if found is None:
        return None
    sign, whole, mark, part, power, unit = found.groups()
    if not whole and not part:
        return None
    return _figure(sign, whole, part or "", int(power or 0), (unit or "").strip(), comma=mark == ",")


def _figure(
    sign: str, whole: str, part: str, power: int, unit: str, *, coded: bool = False, comma: bool = False
) -> Figure:
    number = Decimal(f"{sign}{whole or '0'}.{part or '0'}E{power}")
    half = Decimal(5).scaleb(power - len(part) - 1)
    return Figure(number, half, unit, coded, comma)
