"""Opens the bench screens: the only place in the engine that knows of them."""

from __future__ import annotations


def open_screens() -> int:
    """Run the bench screens until they are left; the exit code."""
    from nextprobe_tui.app import main

    return main()
