"""Opens the bench screens: the only place in the engine that knows of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nextprobe.job import OpenJob
    from nextprobe.meter.live import LiveMeter


def open_screens(meter: str | None = None) -> int:
    """Run the bench screens until they are left, with the meter at the address `meter`; the exit code."""
    from nextprobe.cli.walk import find_shop
    from nextprobe.meter.given import given_meter
    from nextprobe.one_core import one_core
    from nextprobe_tui.app import main

    one_core()
    shop = find_shop(None)
    with given_meter(meter, shop) as live:
        return main(shop=shop, meter=live)


def walk_on_screens(opened: OpenJob, meter: LiveMeter | None = None) -> int:
    """Walk a job on the screens; says how to go on with it where it was left open."""
    from nextprobe_tui.app import run_walk

    if run_walk(opened, meter) is None:
        print(f"The job stays open: `nextprobe walk --job {opened.job.id}` goes on with it.")
    return 0
