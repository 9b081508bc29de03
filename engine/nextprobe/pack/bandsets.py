"""The ranges of one measurement, resolved for every value of the options they depend on."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from itertools import islice, product
from typing import Any

from nextprobe.errors import QuantityError
from nextprobe.pack.context import Context, Entry
from nextprobe.pack.marks import Path
from nextprobe.quantity import QUANTITIES, Band, parse_band

#: More combinations of option values than this are not tried one by one.
_MOST = 64


class _LeansError(Exception):
    """A range leans on another one that could not be resolved."""


@dataclass(slots=True)
class BandSet:
    """Ranges of one measurement for one choice of option values."""

    options: Mapping[str, str]
    bands: dict[str, Band] = field(default_factory=dict)
    faults: list[tuple[Path, QuantityError]] = field(default_factory=list)
    missing: list[tuple[Path, str, str]] = field(default_factory=list)
    incomplete: bool = False

    def words(self) -> str:
        """The option values in words; "" where the ranges depend on none."""
        return ", ".join(f"{option} {value}" for option, value in self.options.items())


def outcome_rows(entry: Entry) -> Iterator[tuple[str, Mapping[str, Any], Path]]:
    """The outcomes of a measurement that are mappings."""
    outcomes = entry.row.get("outcomes")
    for name, row in (outcomes if isinstance(outcomes, Mapping) else {}).items():
        if isinstance(row, Mapping):
            yield name, row, (*entry.path, "outcomes", name)


def band_sets(ctx: Context, entry: Entry, *, shares: bool = False) -> list[BandSet]:
    """The ranges (or shares) of a measurement for each combination of the options they name."""
    return ctx.once(f"{'shares' if shares else 'ranges'} of {entry.id}", lambda: _band_sets(ctx, entry, shares=shares))


def _band_sets(ctx: Context, entry: Entry, *, shares: bool) -> list[BandSet]:
    quantity = "share" if shares else str(entry.row.get("quantity", ""))
    if quantity not in QUANTITIES:
        return []
    key = "share" if shares else "range"
    # An outcome with a share alone still has ends, known at the bench; others may lean on it.
    raw: dict[str, tuple[Any, Path]] = {
        name: (row.get(key), (*path, key))
        for name, row, path in outcome_rows(entry)
        if key in row or ("share" in row and not shares)
    }
    if not raw:
        return []
    options = list(dict.fromkeys(str(text.get("by")) for text, _ in raw.values() if isinstance(text, Mapping)))
    values = [ctx.option_values.get(option, []) for option in options]
    sets = []
    for combination in islice(product(*values), _MOST):
        chosen = dict(zip(options, combination, strict=True))
        if not ruled_out(entry, chosen):
            sets.append(_resolve(raw, quantity, chosen))
    return sets


def ruled_out(entry: Entry, chosen: Mapping[str, str]) -> bool:
    """Whether the entry's `only_if` leaves it out for these option values."""
    only_if = entry.row.get("only_if")
    maps = only_if if isinstance(only_if, list) else [only_if] if isinstance(only_if, Mapping) else []
    if not maps:
        return False

    def holds(one: Mapping[str, Any]) -> bool:
        return all(
            chosen[option] in ([values] if isinstance(values, str) else values or ())
            for option, values in one.items()
            if option in chosen
        )

    return not any(isinstance(one, Mapping) and holds(one) for one in maps)


def _resolve(raw: Mapping[str, tuple[Any, Path]], quantity: str, chosen: Mapping[str, str]) -> BandSet:
    found = BandSet(chosen)
    texts: dict[str, tuple[str, Path]] = {}
    for name, (text, path) in raw.items():
        if isinstance(text, Mapping):
            option = str(text.get("by"))
            value = chosen[option]
            if not isinstance(text.get(value), str):
                found.missing.append((path, option, value))
                found.incomplete = True
                continue
            texts[name] = (text[value], (*path, value))
        elif isinstance(text, str):
            texts[name] = (text, path)
        else:
            found.incomplete = True
    under_way: list[str] = []

    def band(name: str) -> Band:
        if name in found.bands:
            return found.bands[name]
        if name in under_way:
            circle = " -> ".join([*under_way[under_way.index(name) :], name])
            raise QuantityError(f"These ranges lean on each other in a circle: {circle}.", "Give one of them a figure.")
        if name not in texts or failed.get(name):
            raise _LeansError
        under_way.append(name)
        try:
            found.bands[name] = parse_band(texts[name][0], quantity, others)
        except QuantityError as fault:
            # Said at the range that is wrong, not at those that lean on it.
            failed[name] = True
            found.faults.append((texts[name][1], fault))
            raise _LeansError from fault
        finally:
            under_way.pop()
        return found.bands[name]

    failed: dict[str, bool] = {}
    others: dict[str, Callable[[], Band]] = {name: partial(band, name) for name in raw}
    for name in texts:
        try:
            band(name)
        except _LeansError:
            failed[name] = True
    found.incomplete = found.incomplete or bool(failed)
    return found
