"""What differs between two versions of a pack, in words: only what means something.

The packs are compared as they are understood: another spelling of a quantity, a default written out, or another order
where order means nothing is no difference.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from nextprobe.pack.pack import Measurement, Pack, Rule, When

#: Blocks of a pack whose entries have ids.
ENTRIES = (
    "options", "history", "symptoms", "effects", "causes", "measurements", "repairs", "instruments", "skills",
    "hazards", "stops", "remarks",
)  # fmt: skip
#: What stands in a pack by itself, and where the order of a list is part of what it says.
_ALONE = ("id", "title", "about", "unlisted", "misread", "pairs", "confidence", "always_first", "closing")
_ORDERED = frozenset({"always_first", "closing", "steps", "prove", "instrument", "at"})
#: Fields that a pack's file calls otherwise.
_KEYS = {"with_": "with", "ranges": "range"}
#: Texts that are too long to be set side by side.
_LONG = frozenset({"how", "steps", "do", "about"})
#: Longer values than this are not set side by side either.
_SHOWN = 60


@dataclass(frozen=True, slots=True)
class Change:
    """kind: added, removed, renamed, changed, order or source; where: the place in the pack; old, new: "" for none."""

    kind: str
    where: str
    old: str
    new: str
    words: str

    def as_dict(self) -> dict[str, str]:
        """Plain data for a program."""
        return {"kind": self.kind, "where": self.where, "old": self.old, "new": self.new, "words": self.words}


def changes(old: Pack, new: Pack, reads_alike: Callable[[Measurement, Measurement], bool]) -> Iterator[Change]:
    """Every difference that means something, in the order of the new pack, what is gone first in each block.

    reads_alike: whether two spellings of a measurement whose rules stand in another order read every hypothesis alike.
    """
    for name in _ALONE:
        yield from _value(name, name, getattr(old, name), getattr(new, name))
    yield from _fields("economics", old.economics, new.economics)
    for name in ("conditions", "start", "hand_back"):
        yield from _value(f"bench.{name}", name, getattr(old.bench, name), getattr(new.bench, name))
    yield from _entries("bench.moves", old.bench.moves, new.bench.moves)
    for block in ENTRIES:
        if block == "measurements":
            yield from _measurements(old, new, reads_alike)
        else:
            yield from _entries(block, getattr(old, block), getattr(new, block))
    if old.refer is not None and new.refer is not None:
        yield from _fields("refer", old.refer, new.refer)
    elif old.refer is not new.refer:
        yield _came("refer", "") if old.refer is None else _gone("refer", "")


def _measurements(old: Pack, new: Pack, reads_alike: Callable[[Measurement, Measurement], bool]) -> Iterator[Change]:
    for change in _entries("measurements", old.measurements, new.measurements):
        # A slip that both packs leave to their default is told once, at the top.
        if not (change.where.endswith(".misread") and _by_default(change.where.split(".")[1], old, new)):
            yield change
    for id_, one in new.measurements.items():
        if id_ in old.measurements:
            yield from _rules(f"measurements.{id_}", old.measurements[id_], one, reads_alike)


def _by_default(id_: str, old: Pack, new: Pack) -> bool:
    return old.measurements[id_].misread == old.misread and new.measurements[id_].misread == new.misread


def _entries(block: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    for id_ in old:
        if id_ not in new:
            yield _gone(f"{block}.{id_}", _called(old[id_]))
    for id_ in new:
        if id_ not in old:
            yield _came(f"{block}.{id_}", _called(new[id_]))
        else:
            yield from _fields(f"{block}.{id_}", old[id_], new[id_])


def _fields(where: str, old: Any, new: Any) -> Iterator[Change]:
    for one in fields(old):
        if one.name in ("id", "origin", "reads"):
            continue
        name, was, now = _KEYS.get(one.name, one.name), getattr(old, one.name), getattr(new, one.name)
        if is_dataclass(was) and is_dataclass(now):
            yield from _fields(f"{where}.{name}", was, now)
        elif name == "outcomes":
            yield from _entries(f"{where}.outcomes", was, now)
        elif isinstance(was, Mapping) and _figures(was) and _figures(now):
            yield from _map(f"{where}.{name}", was, now)
        else:
            yield from _value(f"{where}.{name}", name, was, now)


def _map(where: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    for key in (*(key for key in old if key not in new), *new):
        yield from _value(f"{where}.{key}" if key else where, key, old.get(key), new.get(key))


def _value(where: str, name: str, old: Any, new: Any) -> Iterator[Change]:
    ordered = name in _ORDERED
    if _alike(old, ordered=ordered) == _alike(new, ordered=ordered):
        return
    was, now = _text(old), _text(new)
    if name in _LONG or max(len(was), len(now)) > _SHOWN:
        words = f"{where}: worded otherwise" if isinstance(old, str) or name in _LONG else f"{where}: other than before"
    elif not was or not now:
        words = f"{where}: {now} added" if now else f"{where}: {was} removed"
    else:
        words = f"{where}: {was} → {now}"
    yield Change("changed", where, was, now, words)


def _rules(
    where: str, old: Measurement, new: Measurement, reads_alike: Callable[[Measurement, Measurement], bool]
) -> Iterator[Change]:
    """The rules by what they hold for; their order counts where it makes a hypothesis read otherwise."""
    was, now = _by_when(old.reads), _by_when(new.reads)
    for key, rule in was.items():
        if key not in now:
            yield Change("removed", where, _if(rule), "", f"{where}: no rule any more for {_if(rule)}")
    for key, rule in now.items():
        if key not in was:
            gives = ", ".join(f"{outcome} {chance:g}" for outcome, chance in rule.gives.items())
            yield Change("added", where, "", _if(rule), f"{where}: a rule for {_if(rule)} added ({gives})")
            continue
        gave = was[key].gives
        for outcome in (*(one for one in gave if one not in rule.gives), *rule.gives):
            yield from _value(
                f"{where}, {_if(rule)}, {outcome}", outcome, gave.get(outcome, 0.0), rule.gives.get(outcome, 0.0)
            )
    kept = [key for key in was if key in now]
    if kept != [key for key in now if key in was] and not reads_alike(old, new):
        yield Change("order", where, "", "", f"{where}: its rules stand in another order, and read otherwise")


def _by_when(reads: tuple[Rule, ...]) -> dict[Hashable, Rule]:
    found: dict[Hashable, Rule] = {}
    for rule in reads:
        found.setdefault(None if rule.when is None else _alike(rule.when, ordered=False), rule)
    return found


def _if(rule: Rule) -> str:
    return "otherwise" if rule.when is None else f"if {_when(rule.when)}"


def _when(when: When) -> str:
    if when.op == "id":
        return when.id
    parts = [_when(part) for part in when.parts]
    if when.op == "not":
        return f"not {parts[0]}"
    joined = (" and " if when.op == "all" else " or ").join(parts)
    return f"({joined})" if len(parts) > 1 else joined


def _gone(where: str, called: str) -> Change:
    return Change("removed", where, called, "", f"{where} removed{_in_brackets(called)}")


def _came(where: str, called: str) -> Change:
    return Change("added", where, "", called, f"{where} added{_in_brackets(called)}")


def _in_brackets(called: str) -> str:
    return f" ({called})" if called else ""


def _called(entry: Any) -> str:
    return next((str(getattr(entry, name)) for name in ("title", "ask", "say", "do") if hasattr(entry, name)), "")


def _figures(value: Any) -> bool:
    return isinstance(value, Mapping) and all(isinstance(one, (int, float, str)) for one in value.values())


def _alike(value: Any, *, ordered: bool) -> Hashable:
    """A value of which equals are those that mean the same."""
    if is_dataclass(value):
        return frozenset((one.name, _alike(getattr(value, one.name), ordered=ordered)) for one in fields(value))
    if isinstance(value, Mapping):
        return frozenset((key, _alike(one, ordered=ordered)) for key, one in value.items())
    if isinstance(value, (tuple, list)):
        return (tuple if ordered else frozenset)(_alike(one, ordered=ordered) for one in value)
    return round(value, 12) if isinstance(value, float) else value


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_text(one)}" for key, one in value.items())
    if isinstance(value, (tuple, list)):
        return ", ".join(_text(one) for one in value)
    return str(value)
