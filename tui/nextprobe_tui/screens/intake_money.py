"""The owner's limit as it is typed."""

from __future__ import annotations

import re

from nextprobe.errors import UnreadableError


def money_of(typed: str, currency: str = "") -> float | None:
    """Money as typed: "150", "150,50", "150 EUR" where that is the `currency`; None for nothing.

    Raises UnreadableError for what is no sum, and for "1,500", which some read as 1500 and some as 1.5.
    """
    word = typed.strip()
    if currency and word.lower().endswith(currency.lower()):
        word = word[: -len(currency)].rstrip()
    if not word:
        return None
    found = re.fullmatch(r"([0-9]{1,9})(?:[.,]([0-9]{0,3}))?", word)
    if found is None:
        raise UnreadableError(f"{typed.strip()!r} is no sum of money.", "Type it as in 150, or nothing for no limit.")
    whole, part = found[1], found[2] or ""
    if len(part) == 3:
        raise UnreadableError(
            f"{typed.strip()!r} can be read in two ways.", f"Write {whole}{part}, or {int(whole)}.{part[:2]}."
        )
    return float(f"{whole}.{part or 0}")
