"""What a plain scalar means: YAML 1.2 core schema, and the spellings that tools read differently.

Source: YAML 1.2.2, chapter 10.3 (core schema); YAML 1.1 type repository for what older tools read.
"""

from __future__ import annotations

import math
import re
from typing import Final

_INT = re.compile(r"[-+]?[0-9]+\Z")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?\Z")
_ODD = re.compile(
    r"[-+]?(?:0[0-9_]+|0x[0-9a-fA-F_]+|0o[0-7_]+|0b[01_]+|[0-9][0-9_]*_[0-9_]*(?:\.[0-9_]*)?"
    r"|[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9_]*)?|\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN))\Z"
)
_SWITCH = {"on", "off", "yes", "no", "y", "n"}
_FIXED: Final[dict[str, bool | None]] = {
    "": None,
    "~": None,
    "null": None,
    "Null": None,
    "NULL": None,
    "true": True,
    "True": True,
    "TRUE": True,
    "false": False,
    "False": False,
    "FALSE": False,
}
#: Longer figures than this are no figures.
_DIGITS = 40

Plain = str | int | float | bool | None


def is_switch(text: str) -> bool:
    """Whether an older reader takes this plain word for a boolean."""
    return len(text) <= 3 and text.lower() in _SWITCH


def resolve(text: str) -> tuple[Plain, str]:
    """The value of a plain scalar and "", or the text itself and what is wrong with it."""
    if not text or text[0] in "~nNtTfF":
        if text in _FIXED:
            return _FIXED[text], ""
        return text, ""
    if text[0] not in "+-.0123456789":
        return text, ""
    if _ODD.match(text):
        return text, "is read as different numbers by different tools"
    if _INT.match(text):
        return (int(text), "") if len(text) <= _DIGITS else (text, "is too long for a number")
    if _FLOAT.match(text):
        value = float(text)
        return (value, "") if math.isfinite(value) else (text, "is beyond every number")
    return text, ""
