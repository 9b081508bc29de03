"""The meter that a person named, on the command line or in the shop file."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nextprobe.meter.live import LiveMeter
    from nextprobe.pack.shop import Shop


@contextmanager
def given_meter(resource: str | None, shop: Shop | None = None) -> Iterator[LiveMeter | None]:
    """The meter at `resource`, else at the shop's own address; None where neither is given.

    It is opened when it is wanted, and let go of at the end.
    """
    address = resource or (shop.meter if shop is not None else None)
    if not address:
        yield None
        return
    from nextprobe.meter.live import LiveMeter
    from nextprobe.meter.visa import open_meter

    live = LiveMeter(lambda: open_meter(address))
    try:
        yield live
    finally:
        live.stop(PATIENCE)


PATIENCE = 0.5
"""Seconds that leaving gives the meter, so that its own keys work again; no more where it does not answer."""
