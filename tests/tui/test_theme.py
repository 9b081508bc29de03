"""Every theme can be read: contrast of text by WCAG 2.2, success criterion 1.4.3 (4.5 to 1 for text)."""

from __future__ import annotations

import pytest
from textual.color import Color
from textual.theme import Theme

from nextprobe_tui.theme import CHALK, PAPER, SLATE, THEMES, other


def luminance(color: Color) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [channel / 255 for channel in color.rgb]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, two: str) -> float:
    """Contrast ratio as WCAG 2.2 defines it."""
    lights = sorted((luminance(Color.parse(one)), luminance(Color.parse(two))), reverse=True)
    return (lights[0] + 0.05) / (lights[1] + 0.05)


def test_black_on_white_is_21_to_1() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_text_stands_out(theme: Theme) -> None:
    background = theme.background or ""
    for name, ink in (
        ("foreground", theme.foreground),
        ("error", theme.error),
        ("success", theme.success),
        ("accent", theme.accent),
        ("gutter", theme.variables["gutter"]),
    ):
        assert contrast(ink or "", background) >= 4.5, name
    assert contrast(theme.variables["act-foreground"], theme.variables["act-background"]) >= 4.5
    assert contrast(theme.variables["footer-key-foreground"], theme.panel or "") >= 4.5
    assert contrast(theme.variables["gutter"], theme.panel or "") >= 4.5


@pytest.mark.parametrize(
    ("ink", "ground"), [("#ffffff", "#b3161b"), ("#000000", "#e8792a"), ("#000000", "#f2c811"), ("#ffffff", "#1f5fa8")]
)
def test_signal_words_stand_out(ink: str, ground: str) -> None:
    # Colours of the signal words: ANSI Z535.4 (danger red, warning orange, caution yellow, notice blue).
    assert contrast(ink, ground) >= 4.5


def test_one_theme_leads_to_the_other() -> None:
    assert [other(theme.name) for theme in THEMES] == [PAPER.name, CHALK.name, SLATE.name]
    assert other("no such theme") == SLATE.name


def test_high_contrast_is_7_to_1() -> None:
    """WCAG 2.2, success criterion 1.4.6 (enhanced)."""
    ground = CHALK.background or ""
    inks = [CHALK.foreground, CHALK.error, CHALK.success, CHALK.accent, CHALK.warning, CHALK.variables["gutter"]]
    assert min(contrast(ink or "", ground) for ink in inks) >= 7
    assert min(contrast(ink or "", CHALK.panel or "") for ink in inks) >= 7
    assert contrast(CHALK.variables["act-foreground"], CHALK.variables["act-background"]) >= 7
