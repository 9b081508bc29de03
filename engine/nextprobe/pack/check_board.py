"""A board sheet against the packs it serves: ids, values, ranges and places on the sketch."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from nextprobe.errors import Finding
from nextprobe.pack.board import overlay
from nextprobe.pack.check_cases import check_options
from nextprobe.pack.check_told import outcome, unknown
from nextprobe.pack.checked import place
from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Path, Source
from nextprobe.pack.near import did_you_mean
from nextprobe.pack.refs import MEASURED
from nextprobe.pack.rules import findings_of, sheet_rules


def check_board(source: Source, data: Any, packs: Sequence[Context]) -> Iterator[Finding]:
    """Findings on the meaning of a sheet, given the packs it serves that are installed (maybe none)."""
    if not isinstance(data, Mapping):
        return
    yield from _sketch(source, data)
    if not packs:
        return
    yield from check_options(source, data.get("options"), ("options",), list(packs))
    for block in ("measurements", "good_board"):
        for id_ in data.get(block) or {}:
            yield from unknown(source, (block, id_), id_, packs, MEASURED)
    for id_ in data.get("repairs") or {}:
        yield from unknown(source, ("repairs", id_), id_, packs, ("repair",))
    for id_, row in (data.get("measurements") or {}).items():
        yield from _outcomes(source, id_, row, packs)
    for id_, text in (data.get("good_board") or {}).items():
        for ctx in packs:
            if id_ in ctx.block("measurements"):
                yield from outcome(source, ("good_board", id_), ctx, id_, text)
                break
    for ctx in packs:
        yield from _ranges(source, data, ctx)


def _outcomes(source: Source, id_: str, row: Any, packs: Sequence[Context]) -> Iterator[Finding]:
    known = [one for ctx in packs for one in (ctx.outcomes_of(id_) or ())]
    for name in (row.get("outcomes") or {}) if isinstance(row, Mapping) else ():
        if known and name not in known:
            path: Path = ("measurements", id_, "outcomes", name)
            note = Note(path, f"`{id_}` has no outcome `{name}`.", did_you_mean(name, known), True)
            yield place(source, "NP306", "error", note)


def _ranges(source: Source, data: Mapping[str, Any], ctx: Context) -> Iterator[Finding]:
    """What the rules say of the measurements that the sheet changes, and did not say without it."""
    touched = [id_ for id_ in (data.get("measurements") or {}) if id_ in ctx.block("measurements")]
    if not touched:
        return
    rows = {id_: _known_outcomes(data["measurements"][id_], ctx.outcomes_of(id_) or ()) for id_ in touched}
    sheet = {**data, "for": [ctx.data.get("id", "")], "measurements": rows}
    laid = overlay(ctx.data, sheet)
    marks = {**ctx.source.marks, **source.marks}
    keys = {**ctx.source.key_marks, **source.key_marks}
    both = Source(laid, marks, keys, files={**ctx.source.files, **source.files})
    old = {**ctx.data, "measurements": {id_: ctx.block("measurements")[id_] for id_ in touched}}
    new = {**laid, "measurements": {id_: laid["measurements"][id_] for id_ in touched}}
    rules = sheet_rules()
    before = {(one.code, one.path) for rule in rules for one in findings_of(rule, Context(ctx.source, old))}
    own = set(source.files)
    for rule in rules:
        for one in findings_of(rule, Context(both, new)):
            if (one.code, one.path) in before:
                continue
            if one.file not in own:
                id_ = next((id_ for id_ in touched if one.path.startswith(f"measurements.{id_}.")), touched[0])
                mark = source.mark(("measurements", id_), of_key=True)
                one = replace(one, file=mark.file, line=mark.line, column=mark.column)
            yield one


def _known_outcomes(row: Mapping[str, Any], known: Sequence[str]) -> Mapping[str, Any]:
    """What a sheet says of a measurement, without outcomes that the pack does not have."""
    outcomes = row.get("outcomes")
    if not isinstance(outcomes, Mapping):
        return row
    return {**row, "outcomes": {name: one for name, one in outcomes.items() if name in known}}


def _sketch(source: Source, data: Mapping[str, Any]) -> Iterator[Finding]:
    sketch = data.get("sketch")
    outline = sketch.get("outline") if isinstance(sketch, Mapping) else None
    if not isinstance(sketch, Mapping) or not _points(outline):
        return
    xs, ys = [point[0] for point in outline or ()], [point[1] for point in outline or ()]

    def outside(x: float, y: float) -> bool:
        return not (min(xs) <= x <= max(xs) and min(ys) <= y <= max(ys))

    cure = f"The board runs from {min(xs):g}, {min(ys):g} to {max(xs):g}, {max(ys):g} millimetres."
    for id_, row in (data.get("measurements") or {}).items():
        at = row.get("at") if isinstance(row, Mapping) else None
        if at and _points([at]) and outside(*at):
            yield place(
                source, "NP402", "warning", Note(("measurements", id_, "at"), "This point lies beside the board.", cure)
            )
    for name, part in (sketch.get("parts") or {}).items():
        box = part.get("box") if isinstance(part, Mapping) else None
        if isinstance(box, list) and len(box) == 4 and None not in box:
            x, y, width, height = box
            if outside(x, y) or outside(x + width, y + height):
                path: Path = ("sketch", "parts", name, "box")
                yield place(source, "NP402", "warning", Note(path, "This landmark reaches beside the board.", cure))


def _points(value: Any) -> bool:
    return (
        isinstance(value, list)
        and bool(value)
        and all(isinstance(one, list) and len(one) == 2 and None not in one for one in value)
    )
