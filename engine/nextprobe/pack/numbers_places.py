"""Where the numbers of a loaded pack stand in its files: read once more from the exact texts it was loaded from."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from nextprobe.pack.marks import Mark, Path
from nextprobe.pack.pack import Pack

#: What `load_pack` writes before the name of a board sheet's file, and the name under which it keeps the shop.
BOARD, SHOP = "board/", "shop"


@dataclass(frozen=True)
class Places:
    """Marks of the pack and of its sheet by path; the plain data of sheet and shop, {} where there is none."""

    marks: Mapping[Path, Mark]
    sheet_marks: Mapping[Path, Mark]
    sheet: Mapping[str, Any]
    shop: Mapping[str, Any]

    def mark(self, path: Path, of_sheet: bool) -> Mark:
        """The place of the value at `path`, in the sheet or in the pack; line 0 where it cannot be told."""
        return (self.sheet_marks if of_sheet else self.marks).get(path, Mark("", 0, 0))


def places_of(pack: Pack) -> Places:
    """The places of all values of `pack`."""
    from nextprobe.pack.source import read_yaml

    marks: dict[Path, Mark] = {}
    sheet_marks: dict[Path, Mark] = {}
    for name, text in pack.files.items():
        if name == SHOP:
            continue
        into = sheet_marks if name.startswith(BOARD) else marks
        shown = name.removeprefix(BOARD)
        for path, mark in read_yaml(FilePath(shown), text, shown).marks.items():
            into.setdefault(path, mark)
    return Places(marks, sheet_marks, sheet_of(pack.data), shop_of(pack))


def sheet_of(data: Mapping[str, Any]) -> Mapping[str, Any]:
    """The plain data of the board sheet that was laid over a pack."""
    sheet = data.get("board_sheet")
    return sheet if isinstance(sheet, Mapping) else {}


def shop_of(pack: Pack) -> Mapping[str, Any]:
    """What the shop's file sets, in the places of the pack; {} where there is none."""
    if SHOP not in pack.files:
        return {}
    shop = json.loads(pack.files[SHOP])
    known = pack.data.get("economics") or {}
    return {
        "economics": {key: value for key, value in shop.items() if key in known},
        "instruments": shop.get("instruments") or {},
    }
