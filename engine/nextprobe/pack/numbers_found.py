"""Where numbers stand in the data of a pack, kind by kind, and which `source` covers a place."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from nextprobe.pack.marks import Path

#: A figure in a range, and not one that is part of another outcome's id.
_FIGURE = re.compile(r"(?<![A-Za-z0-9_])[0-9]")
_TOP = ("unlisted", "misread", "pairs", "confidence")
_ECONOMICS = ("labour_per_hour", "loss", "wait_weight", "wait_cap")
#: Keys of a measurement, move, repair, quote or look that hold one number each.
_PLAIN = ("minutes", "wait", "parts", "risk", "misread")

#: How deep a measurement's own keys lie.
_OF_MEASUREMENT = 2


class Found(NamedTuple):
    """A number as written, its kind and its place."""

    path: Path
    value: str | float
    kind: str


def found_in(data: Mapping[str, Any]) -> Iterator[Found]:
    """Every number of a pack's data, with what a board sheet put there; misshapen parts are passed over."""
    for key in _TOP:
        yield from _one(data.get(key), (key,), key)
    economics = _map(data.get("economics"))
    for key in _ECONOMICS:
        yield from _one(economics.get(key), ("economics", key), "economics")
    for path, row in _entries(data, "history"):
        yield from _one(row.get("base"), (*path, "base"), "base")
        yield from _each(row.get("raises"), (*path, "raises"), "raises")
    for name, row in _map(_map(data.get("bench")).get("moves")).items():
        yield from _plain(row, ("bench", "moves", name))
    for path, row in _entries(data, "instruments"):
        yield from _one(row.get("counts"), (*path, "counts"), "meter")
        yield from _each(row.get("accuracy"), (*path, "accuracy"), "meter")
    for path, row in _entries(data, "symptoms"):
        yield from _plain(row.get("seen"), (*path, "seen"))
    for block in ("effects", "causes"):
        for path, row in _entries(data, block):
            yield from _one(row.get("weight"), (*path, "weight"), "weight")
            yield from _each(row.get("leads_to"), (*path, "leads_to"), "arc")
    for path, row in _entries(data, "measurements"):
        yield from _measurement(row, path)
    for path, row in _entries(data, "repairs"):
        yield from _plain(row, path)
        yield from _each(row.get("fixes"), (*path, "fixes"), "fixes")
    yield from _plain(data.get("refer"), ("refer",))
    good = _map(data.get("board_sheet")).get("good_board")
    yield from _each(good, ("good_board",), "good")


def source_of(data: Any, path: Path, *, only_top: bool = False) -> tuple[Mapping[str, Any], Path] | None:
    """The `source` that covers `path`, the nearest above it, and where it stands; None where there is none.

    A measurement's own source says where its limits come from, and its times unless it is a standard or a handbook,
    which know nothing of a bench. The chances in its rules have their rule's source, or the pack's: a limit out of a
    standard makes no chance of reading it a standard's. A source with `before` is of the numbers named there alone;
    `rest` is that of the others beside them.
    """
    rows = [data]
    if not only_top:
        for part in path[:-1]:
            inner = _step(rows[-1], part)
            if inner is None:
                break
            rows.append(inner)
    for depth in range(len(rows) - 1, -1, -1):
        source = _map(rows[depth]).get("source")
        while isinstance(source, Mapping):
            if "before" in source and not _stands_in(source["before"], path[depth:]):
                source = source.get("rest")
            elif "before" not in source and depth == _OF_MEASUREMENT and _not_of_limits(path, source):
                break
            else:
                return source, path[:depth]
    return None


def bottom(source: Any) -> Any:
    """The source of an entry beneath what records changed in it."""
    while isinstance(source, Mapping) and "before" in source:
        source = source.get("rest")
    return source


def _stands_in(before: Any, path: Path) -> bool:
    """Whether records changed the number at `path`, as a source's `before` says."""
    for part in path:
        before = _step(before, part)
    return isinstance(before, (int, float, str))


def _not_of_limits(path: Path, source: Mapping[str, Any]) -> bool:
    """Whether `path` is a number of a measurement of which the measurement's own source says nothing."""
    if path[0] != "measurements":
        return False
    return path[2] == "reads" or (path[2] != "outcomes" and source.get("kind") in ("standard", "handbook"))


def _step(data: Any, part: str | int) -> Any:
    if isinstance(data, Mapping):
        return data.get(part)
    return data[part] if isinstance(data, list) and isinstance(part, int) and part < len(data) else None


def _measurement(row: Mapping[str, Any], path: Path) -> Iterator[Found]:
    yield from _plain(row, path)
    for name, outcome in _map(row.get("outcomes")).items():
        place = (*path, "outcomes", name)
        limits = _map(outcome).get("range")
        if isinstance(limits, Mapping):
            for option, text in limits.items():
                if option != "by":
                    yield from _limit(text, (*place, "range", option), "range")
        else:
            yield from _limit(limits, (*place, "range"), "range")
        yield from _limit(_map(outcome).get("share"), (*place, "share"), "share")
    reads = row.get("reads")
    for index, rule in enumerate(reads if isinstance(reads, list) else ()):
        for key in ("gives", "otherwise"):
            yield from _each(_map(rule).get(key), (*path, "reads", index, key), "likelihood")


def _plain(row: Any, path: Path) -> Iterator[Found]:
    for key in _PLAIN:
        yield from _one(_map(row).get(key), (*path, key), key)


def _limit(text: Any, path: Path, kind: str) -> Iterator[Found]:
    if isinstance(text, str) and _FIGURE.search(text):
        yield Found(path, text, kind)


def _one(value: Any, path: Path, kind: str) -> Iterator[Found]:
    if isinstance(value, (int, float, str)) and not isinstance(value, bool):
        yield Found(path, value, kind)


def _each(row: Any, path: Path, kind: str) -> Iterator[Found]:
    for key, value in _map(row).items():
        yield from _one(value, (*path, key), kind)


def _entries(data: Mapping[str, Any], block: str) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    for name, row in _map(data.get(block)).items():
        if isinstance(row, Mapping):
            yield (block, name), row


def _map(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}
