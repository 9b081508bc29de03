"""Every number of a pack: where it stands, what kind it is, where it comes from, and how far off it may be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from nextprobe.pack.marks import Mark, Path, shown_path
from nextprobe.pack.numbers_found import Found, bottom, found_in, source_of
from nextprobe.pack.pack import Origin, Pack

#: The kinds of source, from what others can check to what one person thinks; "none" where nobody says.
STATUSES = ("standard", "handbook", "records", "practice", "estimate", "none")
#: Kinds of source of which an unstated doubt is that of the pack.
_OPEN = ("practice", "estimate")


@dataclass(frozen=True, slots=True)
class Number:
    """One number: its place in the data and in the files (from 1; 0 where unknown), and its value as written.

    kind: weight, arc, likelihood, minutes, wait, parts, risk, fixes, range, share, base, raises, misread, unlisted,
    pairs, confidence, economics, meter, good. source: the one in force, None where there is none. own: whether it is
    written at the number's entry or nearer, not at the top of the pack. status: one of STATUSES. doubt: the factor by
    which it may be wrong, 1 where it is held to be right, 0 where nobody says.
    """

    path: Path
    file: str
    line: int
    column: int
    value: str | float
    kind: str
    source: Origin | None
    own: bool
    status: str
    doubt: float

    @property
    def shown(self) -> str:
        """Its place as it is printed: ``causes.seating.weight``."""
        return shown_path(self.path)

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        source = None
        if self.source is not None:
            source = {"kind": self.source.kind, "ref": self.source.ref, "note": self.source.note}
        place = {"file": self.file, "line": self.line, "column": self.column}
        said = {"value": self.value, "kind": self.kind, "status": self.status, "doubt": self.doubt or None}
        return {"path": self.shown, **place, **said, "source": source, "own": self.own}


def numbers(pack: Pack) -> tuple[Number, ...]:
    """Every number of `pack`, with those of its board sheet and shop in their place, in the order of the pack."""
    from nextprobe.pack.numbers_places import places_of

    places = places_of(pack)
    return tuple(_number(one, pack.data, places.sheet, places.shop, places.mark) for one in found_in(pack.data))


def estimate_share(of: Pack | Iterable[Number]) -> float:
    """The share (0..1) of a pack's numbers that are estimates, or that nobody names a source of; 0 without numbers."""
    listed = _bare(of) if isinstance(of, Pack) else of
    guessed = [one.status in ("estimate", "none") for one in listed]
    return sum(guessed) / len(guessed) if guessed else 0.0


def pack_date(pack: Pack) -> str:
    """When the numbers were last gone through, as the pack says; "" where it does not."""
    return str(pack.data.get("date", ""))


def by_status(of: Iterable[Number]) -> dict[str, int]:
    """How many numbers have each status, in the order of STATUSES; those that do not occur are left out."""
    count = Counter(one.status for one in of)
    return {status: count[status] for status in STATUSES if count[status]}


def by_kind(of: Iterable[Number]) -> dict[str, int]:
    """How many numbers are of each kind, most first."""
    return dict(Counter(one.kind for one in of).most_common())


def without_source(data: Mapping[str, Any]) -> Iterator[Found]:
    """The numbers of a pack's data that no source covers; quick where the pack names one for all."""
    if isinstance(bottom(data.get("source")), Mapping):
        return
    for one in found_in(data):
        if source_of(data, one.path) is None:
            yield one


def _bare(pack: Pack) -> Iterator[Number]:
    """The numbers without their places, which take no reading of the files."""
    from nextprobe.pack.numbers_places import sheet_of, shop_of

    sheet, shop = sheet_of(pack.data), shop_of(pack)
    return (_number(one, pack.data, sheet, shop, lambda path, of_sheet: Mark("", 0, 0)) for one in found_in(pack.data))


def _number(
    one: Found,
    data: Mapping[str, Any],
    sheet: Mapping[str, Any],
    shop: Mapping[str, Any],
    mark: Callable[[Path, bool], Mark],
) -> Number:
    """A number with its source: the shop's, the sheet's or the pack's, whichever gave the value."""
    if _stands(shop, one.path) and one.value == at_path(shop, one.path):
        origin = Origin("records", note="the shop's own file")
        return Number(one.path, "shop", 0, 0, one.value, one.kind, origin, True, "records", 1.0)
    of_sheet = _stands(sheet, one.path)
    found = source_of(sheet, one.path) if of_sheet else None
    own = found is not None
    if found is None:
        found = source_of(data, one.path, only_top=of_sheet)
    default = bottom(data.get("source"))
    file, line, column = mark(one.path, of_sheet)
    if found is None:
        return Number(one.path, file, line, column, one.value, one.kind, None, False, "none", 0.0)
    row, at = found
    kind = str(row.get("kind", "estimate"))
    doubt = float(row.get("doubt") or 0.0)
    if not doubt and kind in _OPEN and isinstance(default, Mapping):
        doubt = float(default.get("doubt") or 0.0)
    elif not doubt and kind not in _OPEN:
        doubt = 1.0
    origin = Origin(kind, str(row.get("ref", "")), float(row.get("doubt") or 0.0), str(row.get("note", "")))
    return Number(one.path, file, line, column, one.value, one.kind, origin, own or len(at) > 0, kind, doubt)


def _stands(data: Any, path: Path) -> bool:
    return at_path(data, path) is not None


def at_path(data: Any, path: Path) -> Any:
    """What stands at `path` in a file's data; None where nothing does."""
    for part in path:
        if not isinstance(data, Mapping) or part not in data:
            return None
        data = data[part]
    return data
