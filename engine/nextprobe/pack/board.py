"""A board sheet laid over a pack's data: it changes values, places and options, never logic."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nextprobe.errors import PackError
from nextprobe.pack.pack import BoardSheet, Sketch

Data = Mapping[str, Any]


def overlay(data: Data, sheet: Data) -> dict[str, Any]:
    """`data` with the sheet's options, economics, places and bands; neither is changed.

    Raises PackError when the sheet is not for this pack.
    """
    pack_id = data.get("id", "")
    if pack_id not in sheet.get("for", [pack_id]):
        raise PackError(
            f"The board sheet {sheet.get('id', '?')!r} is not for the pack {pack_id!r}.",
            cure=f"It is for: {', '.join(sheet['for'])}. Add {pack_id} to its `for`, or take another sheet.",
        )
    result = dict(data)
    result["known_options"] = {
        option: value for option, value in (sheet.get("options") or {}).items() if option in (data.get("options") or {})
    }
    result["economics"] = {**(data.get("economics") or {}), **(sheet.get("economics") or {})}
    measurements = dict(data.get("measurements") or {})
    for key, changes in (sheet.get("measurements") or {}).items():
        if key in measurements:  # a sheet serves several packs: what this one does not ask is left alone
            measurements[key] = _measurement(measurements[key], changes)
    result["measurements"] = measurements
    repairs = dict(data.get("repairs") or {})
    for key, changes in (sheet.get("repairs") or {}).items():
        if key in repairs:
            repairs[key] = {**repairs[key], **changes}
    result["repairs"] = repairs
    result["board_sheet"] = dict(sheet)
    return result


def _measurement(row: Data, changes: Data) -> dict[str, Any]:
    merged = {**row, **{key: value for key, value in changes.items() if key != "outcomes"}}
    outcomes = dict(row.get("outcomes") or {})
    for outcome, change in (changes.get("outcomes") or {}).items():
        old = dict(outcomes.get(outcome) or {})
        if "range" in change and "share" not in change:
            # A band measured on this very board is worth more than one relative to another reading.
            old.pop("share", None)
            old.pop("of", None)
        outcomes[outcome] = {**old, **change}
    if outcomes:
        merged["outcomes"] = outcomes
    return merged


def board_sheet(sheet: Data) -> BoardSheet:
    """The typed part of a sheet: title, sketch, what a good board read."""
    sketch = sheet.get("sketch") or {}
    parts = {}
    for key, part in (sketch.get("parts") or {}).items():
        x, y, width, height = map(float, part["box"])
        parts[str(key)] = ((x, y, width, height), str(part.get("say", key)))
    return BoardSheet(
        id=str(sheet.get("id", "")),
        title=str(sheet.get("title", sheet.get("id", ""))),
        sketch=Sketch(tuple((float(x), float(y)) for x, y in sketch.get("outline") or ()), parts),
        good_board={str(key): str(text) for key, text in (sheet.get("good_board") or {}).items()},
    )
