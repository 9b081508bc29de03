"""The colours: a dark, a light and a high-contrast theme, and what replaces colour where there is none.

Signal words have the colours of ANSI Z535 (red, orange, yellow, blue), but nothing is told by colour
alone: every caution carries its word, every mark its sign.
"""

from __future__ import annotations

from textual.theme import Theme

SLATE = Theme(
    name="slate",
    primary="#7fb7a6",
    secondary="#c9a66b",
    accent="#e0b457",
    warning="#e89b3c",
    error="#e0605e",
    success="#8fbf6a",
    foreground="#e4e6e1",
    background="#171a1c",
    surface="#1f2427",
    panel="#2a3034",
    dark=True,
    variables={
        "act-background": "#23483f",
        "act-foreground": "#f4f7f2",
        "gutter": "#93a39b",
        "footer-key-foreground": "#e0b457",
    },
)

PAPER = Theme(
    name="paper",
    primary="#1d5c4c",
    secondary="#7a5a1c",
    accent="#8a5a00",
    warning="#a85600",
    error="#a8211f",
    success="#3c6b1c",
    foreground="#1d2220",
    background="#f4f2ea",
    surface="#ebe8dd",
    panel="#dfdbcd",
    dark=False,
    variables={
        "act-background": "#cfe3d8",
        "act-foreground": "#10261f",
        "gutter": "#4f5b55",
        "footer-key-foreground": "#7a4f00",
    },
)

CHALK = Theme(
    name="chalk",
    primary="#ffffff",
    secondary="#ffe08a",
    accent="#ffd24a",
    warning="#ffb35c",
    error="#ff9a98",
    success="#a9f08c",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#1c1c1c",
    dark=True,
    variables={
        "act-background": "#ffffff",
        "act-foreground": "#000000",
        "gutter": "#e2e2e2",
        "footer-key-foreground": "#ffd24a",
    },
)

THEMES = (SLATE, PAPER, CHALK)
"""Dark, light, and high contrast."""


def other(name: str) -> str:
    """The name of the theme that follows `name`."""
    names = [theme.name for theme in THEMES]
    return names[(names.index(name) + 1) % len(names)] if name in names else names[0]


COLOURLESS = """
App:nocolor {
    .signal, Input > .input--cursor { text-style: reverse; }
    #act, #title { text-style: bold reverse; }
    OptionList > .option-list--option-highlighted { text-style: bold underline; }
    OptionList:focus > .option-list--option-highlighted { text-style: bold underline; }
    #feedback.-error, #feedback.-taken { text-style: bold; }
    .gutter { text-style: bold; }
}
"""
"""Where NO_COLOR is set: weight, reversal and underline of letters stand for what colour would have set apart."""

ROOMY = """
Screen.-tall StepCard > #act { margin-bottom: 1; padding: 1 2; }
Screen.-tall StepCard > .-last { margin-bottom: 1; }
Screen.-tall StepCard.-tight > #act { margin-bottom: 0; padding: 0 1; }
Screen.-tall StepCard.-tight > .-last { margin-bottom: 0; }
Screen.-tall Answer { height: 3; border: round $gutter; }
Screen.-tall Answer:focus { border: round $accent; }
"""
"""Where the terminal is tall: air around the step, as long as all of it stays in sight."""
