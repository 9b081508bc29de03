"""Every place of a pack where an id is used, with the kinds of id that serve there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from nextprobe.pack.context import Context, Entry
from nextprobe.pack.marks import Path
from nextprobe.pack.walkers import Told, Word, choices, instruments, keys, told_first, when_words, words

TELLABLE = ("measurement", "check", "repair", "history fact", "option")
MEASURED = ("measurement", "check")


class Ref(NamedTuple):
    """An id used at a place, the kinds that serve there and the outcomes it must have had."""

    id: str
    kinds: tuple[str, ...]
    path: Path
    of_key: bool = False
    outcomes: tuple[Word, ...] = ()


def references(ctx: Context) -> Iterator[Ref]:
    """Every use of an id in the pack."""
    return iter(ctx.once("references", lambda: tuple(_references(ctx))))


def _references(ctx: Context) -> Iterator[Ref]:
    for block in ("options", "history", "symptoms", "effects", "causes", "measurements", "repairs", "remarks"):
        for entry in ctx.entries(block):
            yield from _only_if(entry)
    for entry in ctx.bench_entries("moves"):
        yield from _only_if(entry)
    for entry in ctx.entries("history"):
        yield from _refs(keys(entry.row.get("raises"), (*entry.path, "raises")), ("cause",))
    for block in ("causes", "effects"):
        for entry in ctx.entries(block):
            yield from _refs(keys(entry.row.get("leads_to"), (*entry.path, "leads_to")), ("effect", "symptom"))
    for entry in ctx.steps():
        yield from _told(told_first(entry.row.get("after"), (*entry.path, "after")))
        yield from _hazards(entry)
    for entry in ctx.entries("symptoms"):
        seen = entry.row.get("seen")
        if isinstance(seen, dict):
            yield from _hazards(Entry("", seen, (*entry.path, "seen")))
    for entry in ctx.entries("measurements"):
        yield from _measurement(entry)
    for entry in ctx.entries("repairs"):
        yield from _tools(entry)
        yield from _refs(keys(entry.row.get("fixes"), (*entry.path, "fixes")), ("cause",))
        proofs = [word for word in words(entry.row.get("prove"), (*entry.path, "prove")) if word.text != "seen"]
        yield from _refs(proofs, ("check",))
    yield from _states(ctx)
    yield from _refs(words(ctx.data.get("always_first"), ("always_first",)), MEASURED)
    yield from _refs(words(ctx.data.get("closing"), ("closing",)), ("check",))


def _states(ctx: Context) -> Iterator[Ref]:
    """Bench states named in words; conditions written out are no ids."""
    places: list[tuple[object, Path]] = [
        (ctx.bench.get("hand_back"), ("bench", "hand_back")),
        (ctx.block("refer").get("needs"), ("refer", "needs")),
    ]
    places += [(entry.row.get("needs"), (*entry.path, "needs")) for entry in ctx.steps()]
    places += [(entry.row.get("look_when"), (*entry.path, "look_when")) for entry in ctx.entries("remarks")]
    for entry in ctx.entries("symptoms"):
        seen = entry.row.get("seen")
        if isinstance(seen, dict):
            places.append((seen.get("needs"), (*entry.path, "seen", "needs")))
    for value, path in places:
        if isinstance(value, str):
            yield Ref(value, ("bench state",), path)


def _refs(found: Iterable[Word], kinds: tuple[str, ...]) -> Iterator[Ref]:
    for word in found:
        yield Ref(word.text, kinds, word.path, word.of_key)


def _told(found: Iterable[Told]) -> Iterator[Ref]:
    for told in found:
        yield Ref(told.id.text, TELLABLE, told.id.path, told.id.of_key, told.outcomes)


def _only_if(entry: Entry) -> Iterator[Ref]:
    for choice in choices(entry.row.get("only_if"), (*entry.path, "only_if")):
        yield Ref(choice.name.text, ("option",), choice.name.path, True)


def _hazards(entry: Entry) -> Iterator[Ref]:
    yield from _refs(words(entry.row.get("hazards"), (*entry.path, "hazards")), ("hazard",))


def _tools(entry: Entry) -> Iterator[Ref]:
    yield from _refs(instruments(entry.row.get("instrument"), (*entry.path, "instrument")), ("instrument",))
    yield from _refs(words(entry.row.get("skill"), (*entry.path, "skill")), ("skill",))


def _measurement(entry: Entry) -> Iterator[Ref]:
    row, path = entry.row, entry.path
    yield from _tools(entry)
    yield from _refs(words(row.get("with"), (*path, "with")), MEASURED)
    yield from _refs(words(row.get("same_as"), (*path, "same_as")), MEASURED)
    reads = row.get("reads")
    for index, rule in enumerate(reads if isinstance(reads, list) else ()):
        if isinstance(rule, dict):
            yield from _refs(when_words(rule.get("when"), (*path, "reads", index, "when")), ("effect", "cause"))
    outcomes = row.get("outcomes")
    for name, outcome in (outcomes if isinstance(outcomes, dict) else {}).items():
        if not isinstance(outcome, dict):
            continue
        place = (*path, "outcomes", name)
        yield from _refs(words(outcome.get("of"), (*place, "of")), ("measurement",))
        yield from _refs(words(outcome.get("stop"), (*place, "stop")), ("stop",))
        yield from _told(told_first(outcome.get("until"), (*place, "until")))
        band = outcome.get("range")
        if isinstance(band, dict):
            yield from _refs(words(band.get("by"), (*place, "range", "by")), ("option",))
