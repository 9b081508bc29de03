"""What a range was meant to be that is written as people write ranges elsewhere."""

from __future__ import annotations

import re
from typing import Any

from nextprobe.errors import QuantityError
from nextprobe.quantity import parse_band

_FIGURE = r"[-+]?[0-9]+(?:\.[0-9]+)?"
_FROM_TO = re.compile(rf"({_FIGURE}) ?(\D*?) ?(?:-|\u2013|\u2026|\.\.\.?|to) ?({_FIGURE}) ?(\D+)")
_SIGN = re.compile(r"(<=|>=|<|>|\u2264|\u2265|under|less than|up to|over|more than|from) ?(\S.*)")
_BELOW = frozenset({"<", "<=", "\u2264", "under", "less than", "up to"})


def range_meant(text: str, quantity: Any) -> str:
    """`text`, as in ``20 - 25 ohm`` or ``> 60 ohm``, as a range of `quantity`; "" where it cannot be told."""
    plain = " ".join(text.replace(",", ".").split())
    if hit := _FROM_TO.fullmatch(plain):
        unit = hit[4].strip()
        meant = f"{hit[1]} {hit[2].strip() or unit} .. {hit[3]} {unit}"
    elif hit := _SIGN.fullmatch(plain):
        meant = f"{'below' if hit[1] in _BELOW else 'above'} {hit[2]}"
    else:
        return ""
    try:
        parse_band(meant, str(quantity), {})
    except (QuantityError, KeyError):
        return ""
    return meant
