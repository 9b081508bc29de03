"""Words from a person as titles, ids and YAML text."""

from __future__ import annotations

import json
import unicodedata

#: What a YAML 1.1 tool reads as something else than text, and what the pack format keeps for itself.
TAKEN = frozenset({"y", "n", "yes", "no", "on", "off", "true", "false", "null", "none", "unlisted", "seen", "cause"})
#: Ids that every new pack has.
GIVEN = frozenset(
    {"first_look", "back_together", "start_it", "stop_it", "not_safe", "may_run_at_once", "cut_off_first", "machine"}
)
LONGEST_ID = 30
#: Words that make an id longer and not clearer.
ARTICLES = frozenset({"a", "an", "the"})
#: Words that no id ends with where it was cut.
OPEN_ENDS = frozenset({"and", "at", "by", "for", "from", "in", "of", "on", "or", "to", "too", "with"})


def title_of(text: str) -> str:
    """`text` on one line, without what cannot be printed, without blanks around it."""
    one_line = " ".join(text.split())
    return "".join(sign for sign in one_line if sign.isprintable()).strip()


def first_capital(text: str) -> str:
    """`text` with its first letter as a capital."""
    return text[:1].upper() + text[1:]


def id_of(title: str, kind: str, taken: set[str]) -> str:
    """An id of small letters, digits and underscores for `title`, new among `taken`, which it joins.

    Where the title has no letter of the Latin script, `kind` and a number stand in: ``cause_1``.
    """
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower().replace("'", "")
    words = "".join(sign if sign.isalnum() else " " for sign in plain).split()
    words = [word for word in words if word not in ARTICLES] or words
    name = "_".join(_first(words)) or "_".join(words)[:LONGEST_ID]
    if name and not name[0].isalpha():
        name = f"{kind}_{name}"
    found, number = name or f"{kind}_1", 1
    while found in taken or found in TAKEN or found in GIVEN:
        number += 1
        found = f"{name or kind}_{number}"
    taken.add(found)
    return found


def _first(words: list[str]) -> list[str]:
    """So many of the words as an id may be long, without what would be left open."""
    taken = words[:]
    while len("_".join(taken)) > LONGEST_ID or (len(taken) < len(words) and taken and taken[-1] in OPEN_ENDS):
        taken.pop()
    return taken


def quoted(text: str) -> str:
    """`text` as a YAML scalar in double quotes (which takes every JSON string)."""
    return json.dumps(text, ensure_ascii=False)


def figure(value: float) -> str:
    """A number as a person writes it: no closing zeros, no exponent."""
    return f"{value:.4f}".rstrip("0").rstrip(".") or "0"
