"""The nearest known word to one that nobody knows."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word that `word` most likely meant, or "" where none is near."""
    found = difflib.get_close_matches(word.lower(), list(known), n=1, cutoff=0.6)
    return found[0] if found else ""


def listed(words: Iterable[str]) -> str:
    """Words as a person lists them: ``measurement, repair or option``; a check is a measurement, too."""
    all_words = list(words)
    shown = [word for word in all_words if not (word == "check" and "measurement" in all_words)]
    return " or ".join([", ".join(shown[:-1]), shown[-1]] if len(shown) > 1 else shown)


def with_article(words: str) -> str:
    """``an effect``, ``a cause``."""
    return f"{'an' if words[:1] in 'aeio' else 'a'} {words}"


def did_you_mean(word: str, known: Iterable[str], otherwise: str = "") -> str:
    """A sentence with the nearest known word, or `otherwise`, or a list of a few known ones."""
    choices = list(known)
    near = nearest(word, choices)
    if near:
        return f"Did you mean `{near}`?"
    if otherwise:
        return otherwise
    if not choices:
        return ""
    listed = ", ".join(choices[:8]) + (", …" if len(choices) > 8 else "")
    return f"There are: {listed}."
