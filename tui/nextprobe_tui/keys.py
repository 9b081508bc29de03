"""Keys of one's own: ``keys.yaml`` in the user's config folder maps an action to its key, as ``undo: f12``.

A key that cannot be used is said and the usual one stays: a bad file never keeps anybody from a walk.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from textual.widgets import Input

from nextprobe_tui.actions import ACTS, Act

#: Keys that type or pick, whatever else they are wanted for.
TAKEN = {"enter", "space", "tab", "shift+tab", "up", "down", "left", "right", "home", "end", "backspace", "delete"}


@dataclass(frozen=True)
class Keys:
    """own: action id to key, of those that differ from the registry's. problems: one sentence each."""

    own: Mapping[str, str]
    problems: tuple[str, ...] = ()

    def keymap(self) -> dict[str, str]:
        """As the framework wants it: the id of every binding of an action to its key."""
        return {f"{place}.{act.id}": self.own[act.id] for act in ACTS if act.id in self.own for place in act.places}

    def shown(self, id_: str) -> str:
        """The key of an action as a person reads it."""
        act = next(act for act in ACTS if act.id == id_)
        return key_words(self.own.get(id_, act.key))


def key_words(key: str) -> str:
    """A key as a person reads it on the keyboard: the first of several."""
    return Act("", key, "", "", "", ()).key_shown


def read_keys(file: Path) -> Keys:
    """The keys in `file`; none of one's own where there is no such file."""
    if not file.is_file():
        return Keys({})
    from nextprobe.errors import NextprobeError
    from nextprobe.pack.source import read_yaml

    try:
        source = read_yaml(file)
    except (OSError, NextprobeError) as error:
        return Keys({}, (f"{file.name}: {error}",))
    problems = [f"{one.file}, line {one.line}: {one.message} {one.help}" for one in source.findings]
    data = source.data if isinstance(source.data, dict) else {}
    own: dict[str, str] = {}
    for id_, key in data.items():
        mark = source.key_marks.get((id_,)) or source.marks.get((id_,))
        where = f"{file.name}, line {mark.line}: " if mark is not None else f"{file.name}: "
        wrong = _wrong(str(id_), key, own)
        if wrong:
            problems.append(where + wrong)
        else:
            own[str(id_)] = str(key).strip().lower()
    return Keys(own, tuple(problems))


def _wrong(id_: str, key: object, own: Mapping[str, str]) -> str:
    """What is wrong with one line, and what to do; "" for nothing."""
    known = [act.id for act in ACTS]
    if id_ not in known:
        near = get_close_matches(id_, known, n=1)
        return f"there is no action {id_!r}. " + (
            f"Did you mean {near[0]!r}?" if near else f"There are: {', '.join(known)}."
        )
    word = str(key).strip().lower()
    editing = {one for binding in Input.BINDINGS for one in getattr(binding, "key", "").split(",")}
    if not isinstance(key, str) or len(word) < 2 or word in TAKEN or word in editing:
        return f"{key!r} types, picks or edits. Take a function key or one with ctrl, as f12 or ctrl+g."
    here = next(act for act in ACTS if act.id == id_)
    for act in ACTS:
        now = own.get(act.id, act.key).split(",")
        if act.id != id_ and word in now and set(act.places) & set(here.places):
            return f"{word} is the key of {act.id!r} already. Take another, or give that one a new key above this line."
    return ""


def key_of(app: object, id_: str) -> str:
    """The key of an action as it is in `app`, for a sentence that names it."""
    keys = getattr(app, "keys", None)
    return (keys if isinstance(keys, Keys) else Keys({})).shown(id_)
