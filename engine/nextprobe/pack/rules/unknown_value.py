"""A value that an option or a condition of the bench does not have."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from nextprobe.pack.bandsets import outcome_rows
from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Path
from nextprobe.pack.near import did_you_mean
from nextprobe.pack.walkers import Word, choices, words

CODE = "NP305"
TITLE = "A value that an option or condition does not have"
SEVERITY = "error"


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note for every unknown value of an option, and for every unknown condition or value of the bench."""
    yield from _options(ctx)
    for value, path in _bench_maps(ctx):
        if not isinstance(value, Mapping):
            continue
        for choice in choices(value, path):
            known = ctx.condition_values.get(choice.name.text)
            if known is None:
                if "condition" in ctx.kinds(choice.name.text):
                    continue  # it is there, but misshapen
                cure = did_you_mean(choice.name.text, ctx.condition_values, "Add it to the conditions of the bench.")
                yield Note(choice.name.path, f"The bench has no condition `{choice.name.text}`.", cure, True)
                continue
            if known:
                yield from _unknown(f"The condition `{choice.name.text}`", choice.values, known)
    for entry in ctx.bench_entries("conditions"):
        if not ctx.condition_values[entry.id]:
            continue
        start = words(entry.row.get("start"), (*entry.path, "start"))
        yield from _unknown(f"The condition `{entry.id}`", start, ctx.condition_values[entry.id])


def _options(ctx: Context) -> Iterator[Note]:
    for block in ("options", "history", "symptoms", "effects", "causes", "measurements", "repairs", "remarks"):
        for entry in ctx.entries(block):
            for choice in choices(entry.row.get("only_if"), (*entry.path, "only_if")):
                yield from _option(ctx, choice.name.text, choice.values)
    for entry in ctx.bench_entries("moves"):
        for choice in choices(entry.row.get("only_if"), (*entry.path, "only_if")):
            yield from _option(ctx, choice.name.text, choice.values)
    for entry in ctx.entries("options"):
        yield from _option(ctx, entry.id, words(entry.row.get("default"), (*entry.path, "default")))
    for entry in ctx.entries("measurements"):
        for _, row, path in outcome_rows(entry):
            band = row.get("range")
            if isinstance(band, Mapping):
                listed = [Word(key, (*path, "range", key), True) for key in band if key != "by"]
                yield from _option(ctx, str(band.get("by")), listed)


def _option(ctx: Context, option: str, values: Any) -> Iterator[Note]:
    known = ctx.option_values.get(option)
    if known:  # an unknown option, or one without values, is another rule's business
        yield from _unknown(f"The option `{option}`", values, known)


def _unknown(what: str, values: Any, known: list[str]) -> Iterator[Note]:
    for word in values:
        if word.text not in known:
            cure = did_you_mean(word.text, known)
            yield Note(word.path, f"{what} has no value `{word.text}`.", cure, word.of_key)


def _bench_maps(ctx: Context) -> Iterator[tuple[Any, Path]]:
    """Every map from conditions to values."""
    states = ctx.bench.get("states")
    for name, value in (states if isinstance(states, Mapping) else {}).items():
        yield value, ("bench", "states", name)
    yield ctx.bench.get("hand_back"), ("bench", "hand_back")
    for entry in ctx.steps():
        yield entry.row.get("needs"), (*entry.path, "needs")
        yield entry.row.get("change"), (*entry.path, "change")
    for entry in ctx.entries("measurements"):
        for _, row, path in outcome_rows(entry):
            yield row.get("leaves"), (*path, "leaves")
            yield row.get("bars"), (*path, "bars")
    for entry in ctx.entries("symptoms"):
        seen = entry.row.get("seen")
        if isinstance(seen, Mapping):
            yield seen.get("needs"), (*entry.path, "seen", "needs")
    for entry in ctx.entries("remarks"):
        yield entry.row.get("look_when"), (*entry.path, "look_when")
    yield ctx.block("refer").get("needs"), ("refer", "needs")
