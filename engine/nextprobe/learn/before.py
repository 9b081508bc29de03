"""A pack as it was before records: its sources keep the numbers that they changed, so that nothing is learnt twice."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from nextprobe.pack.build import build_pack
from nextprobe.pack.pack import Pack

#: Blocks whose entries may have a source of their own; other numbers of a pack have the source at its top.
WITH_SOURCE = ("causes", "measurements", "repairs")


def before_records(pack: Pack) -> Pack:
    """The pack with every number that records changed as it stood before; the same pack where there is none."""
    data = deepcopy(dict(pack.data))
    rows = [data, *(row for block in WITH_SOURCE for row in (data.get(block) or {}).values())]
    found = [row for row in rows if isinstance(row, dict) and _before(row)]
    if not found:
        return pack
    for row in found:
        _put(row, _before(row))
    return build_pack(data, files=pack.files, content_hash=pack.hash)


def _before(row: Mapping[str, Any]) -> Mapping[str, Any]:
    source = row.get("source")
    before = source.get("before") if isinstance(source, Mapping) else None
    return before if isinstance(before, Mapping) else {}


def _put(row: dict[str, Any], values: Mapping[str, Any]) -> None:
    for key, value in values.items():
        inner = row.get(key)
        if isinstance(value, Mapping):
            if isinstance(inner, dict):
                _put(inner, value)
        elif key in row:
            row[key] = value
