"""A shop file laid over a pack's data: what this workshop charges and what its meters can do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

Data = Mapping[str, Any]
_ECONOMICS = ("currency", "labour_per_hour", "loss", "wait_weight", "wait_cap")


@dataclass(frozen=True, slots=True)
class Shop:
    """What the workshop lacks, the owner's usual limit, the plain data of its file, and the address of its meter."""

    lacks: tuple[str, ...] = ()
    limit: float | None = None
    data: Data | None = None
    meter: str | None = None


def make_shop(data: Data) -> Shop:
    """The shop of a file's data that holds no errors."""
    limit = data.get("limit")
    return Shop(
        tuple(map(str, data.get("lacks") or ())), None if limit is None else float(limit), data, data.get("meter")
    )


def overlay_shop(data: Data, shop: Shop) -> dict[str, Any]:
    """`data` with the shop's charges and meters; what the pack does not know is left out."""
    result = dict(data)
    own = shop.data or {}
    charges = {key: own[key] for key in _ECONOMICS if key in own}
    # A loss that a board sheet states is about that board, so it stands.
    if "loss" in ((data.get("board_sheet") or {}).get("economics") or {}):
        charges.pop("loss", None)
    result["economics"] = {**(data.get("economics") or {}), **charges}
    instruments = dict(data.get("instruments") or {})
    for key, meter in (own.get("instruments") or {}).items():
        if key in instruments:
            instruments[key] = {**instruments[key], **meter}
    result["instruments"] = instruments
    return result
