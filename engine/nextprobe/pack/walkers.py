"""Walking the loose shapes of a pack: a word or a list of words, `when`, `after`, `only_if`, needs.

Everything here takes shape-checked data, in which a misshapen item of a list is None, and yields
each word with its path.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from nextprobe.pack.marks import Path


class Word(NamedTuple):
    """A word at a path; ``of_key`` where it is a key there."""

    text: str
    path: Path
    of_key: bool = False


class Told(NamedTuple):
    """An id that must have been told, and the outcomes that serve (none: any)."""

    id: Word
    outcomes: tuple[Word, ...]


class Choice(NamedTuple):
    """An option (or condition) and the values that serve."""

    name: Word
    values: tuple[Word, ...]


def words(value: Any, path: Path) -> Iterator[Word]:
    """A word, or each word of a list."""
    if isinstance(value, str):
        yield Word(value, path)
    elif isinstance(value, list):
        for index, item in enumerate(value):
            if isinstance(item, str):
                yield Word(item, (*path, index))


def keys(value: Any, path: Path) -> Iterator[Word]:
    """The keys of a mapping."""
    if isinstance(value, Mapping):
        for key in value:
            yield Word(key, (*path, key), True)


def told_first(value: Any, path: Path) -> Iterator[Told]:
    """The entries of an `after` or `until`."""
    if isinstance(value, str):
        yield Told(Word(value, path), ())
    elif isinstance(value, Mapping):
        for key, outcomes in value.items():
            yield Told(Word(key, (*path, key), True), tuple(words(outcomes, (*path, key))))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from told_first(item, (*path, index))


def instruments(value: Any, path: Path) -> Iterator[Word]:
    """Every instrument that an `instrument` names."""
    if isinstance(value, str):
        yield Word(value, path)
    elif isinstance(value, Mapping):
        yield from instruments(value.get("all"), (*path, "all"))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from instruments(item, (*path, index))


def when_words(value: Any, path: Path) -> Iterator[Word]:
    """Every id that a `when` names."""
    if isinstance(value, str):
        yield Word(value, path)
    elif isinstance(value, Mapping):
        for key, part in value.items():
            yield from when_words(part, (*path, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from when_words(item, (*path, index))


def choices(value: Any, path: Path) -> Iterator[Choice]:
    """The entries of an `only_if`, of needs, or of any map from name to values."""
    if isinstance(value, Mapping):
        for key, values in value.items():
            yield Choice(Word(key, (*path, key), True), tuple(words(values, (*path, key))))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from choices(item, (*path, index))
