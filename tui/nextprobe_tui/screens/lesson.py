"""The first lesson: by lines, on the terminal that the screens leave for so long."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.app import SuspendNotSupported

if TYPE_CHECKING:
    from textual.app import App

    from nextprobe_tui.widgets.feedback import Feedback

COMMAND = ("rehearse", "--lesson", "first-steps")


def run_first_lesson(app: App[Any], feedback: Feedback) -> None:
    """Run the lesson to its end, then come back to the screen; say so where that cannot be done."""
    from nextprobe.cli.main import main

    try:
        with app.suspend():
            code = main(COMMAND)
            input("\nEnter goes back to the screens. ")
    except SuspendNotSupported:
        feedback.say(f"Leave the screens and type: nextprobe {' '.join(COMMAND)}", "error")
    except (EOFError, KeyboardInterrupt):
        feedback.say("The lesson was left.")
    else:
        feedback.say(
            "That was the first lesson." if code == 0 else "The lesson could not be run.",
            "taken" if code == 0 else "error",
        )
