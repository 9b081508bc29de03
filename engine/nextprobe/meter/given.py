"""The meter that a person named, on the command line or in the shop file."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nextprobe.meter.live import LiveMeter
    from nextprobe.pack.shop import Shop


def given_meter(resource: str | None, shop: Shop | None = None) -> LiveMeter | None:
    """The meter at `resource`, else at the shop's own address, opened when wanted; None where neither is given."""
    address = resource or (shop.meter if shop is not None else None)
    if not address:
        return None
    from nextprobe.meter.live import LiveMeter
    from nextprobe.meter.visa import open_meter

    return LiveMeter(lambda: open_meter(address))
