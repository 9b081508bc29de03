"""The small drawings of a study's page as inline SVG: bars that read in black and white too."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape


def bar(known: float, whole: float, most: float, *, wide: float = 230.0, say: str = "") -> str:
    """Minutes of one cause: dark what it takes if known, light what is added by having to find it; `most` fills it."""
    scale = (wide - 2) / most if most > 0 else 0.0
    dark, full = max(0.0, min(known, whole)) * scale, max(whole, 0.0) * scale
    return _svg(
        wide,
        11,
        f'<rect class="more" x=".5" y="1.5" width="{full:.1f}" height="8"/>'
        f'<rect class="need" x=".5" y="1.5" width="{dark:.1f}" height="8"/>',
        say,
    )


def use(asked: float, *, wide: float = 120.0, say: str = "") -> str:
    """How many jobs of all come to a measurement."""
    return _svg(
        wide,
        11,
        f'<rect class="rest" x=".5" y="1.5" width="{wide - 1:.1f}" height="8"/>'
        f'<rect class="need" x=".5" y="1.5" width="{(wide - 1) * asked:.1f}" height="8"/>',
        say,
    )


def parts(shares: Sequence[tuple[str, float]], *, wide: float = 660.0, high: float = 26.0, say: str = "") -> str:
    """Shares side by side, the first darkest; each with its words where they fit."""
    drawn, x = [], 0.5
    for number, (word, share) in enumerate(shares):
        width = share * (wide - 1)
        if width < 0.05:
            continue
        shade = ("need", "more", "rest", "none")[min(number, 3)]
        drawn.append(f'<rect class="{shade}" x="{x:.1f}" y=".5" width="{width:.1f}" height="{high - 1:.1f}"/>')
        if width > 6.2 * len(word) + 8:
            light = ' class="light"' if shade == "need" else ""
            drawn.append(f'<text{light} x="{x + 6:.1f}" y="{high / 2 + 4:.1f}">{escape(word)}</text>')
        x += width
    return _svg(wide, high, "".join(drawn), say)


def squares(passed: Sequence[tuple[str, bool]], *, wide: float = 660.0) -> str:
    """A square a case: a tick where it holds, black with a cross where it does not."""
    each, row = 15.0, max(1, int(wide // 15))
    drawn = []
    for number, (name, holds) in enumerate(passed):
        x, y = (number % row) * each + 0.5, (number // row) * each + 0.5
        mark = "M{:.1f} {:.1f}l3 3l5-6" if holds else "M{:.1f} {:.1f}l6 6m0-6l-6 6"
        at = (x + 2, y + 6) if holds else (x + 3, y + 3)
        drawn.append(
            f'<g><title>{escape(name)}</title><rect class="{"case" if holds else "bad"}" x="{x}" y="{y}" width="12" '
            f'height="12"/><path class="{"tick" if holds else "cross"}" d="{mark.format(*at)}"/></g>'
        )
    rows = (len(passed) + row - 1) // row
    failed = sum(not holds for _, holds in passed)
    return _svg(wide, rows * each + 1, "".join(drawn), f"{len(passed)} cases, {failed} failed")


def _svg(wide: float, high: float, inside: str, say: str) -> str:
    return (
        f'<svg width="{wide:g}" height="{high:g}" viewBox="0 0 {wide:g} {high:g}" role="img" '
        f'aria-label="{escape(say)}">{inside}</svg>'
    )
