"""Opens the bench screens: the only place in the engine that knows of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nextprobe.job import OpenJob


def open_screens() -> int:
    """Run the bench screens until they are left; the exit code."""
    from nextprobe.cli.walk import find_shop
    from nextprobe_tui.app import main

    return main(shop=find_shop(None))


def walk_on_screens(opened: OpenJob) -> int:
    """Walk a job on the screens; says how to go on with it where it was left open."""
    from nextprobe_tui.app import run_walk

    if run_walk(opened) is None:
        print(f"The job stays open: `nextprobe walk --job {opened.job.id}` goes on with it.")
    return 0
