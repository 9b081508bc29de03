"""How wide text is, never too small: the widths of a wide sans-serif, rounded up, whatever font is there to draw it."""

from __future__ import annotations

from unicodedata import combining, east_asian_width

#: Width in font sizes: DejaVu Sans rounded up to the next twentieth; Arial and Helvetica are narrower.
_CLASSES = {
    0.30: "'IJijl",
    0.35: " ,./:;\\|\u00a0",
    0.40: "()-[]ft",
    0.45: "!r",
    0.50: '"*_`',
    0.55: "?csz",
    0.60: "FLkvxy",
    0.65: "$0123456789EPSTYabdeghnopqu{}",
    0.70: "ABCKRVXZ",
    0.75: "NU",
    0.80: "&DGHOQ",
    0.85: "#+<=>^w~",
    0.90: "M",
    1.00: "%@m",
    1.05: "W",
}
_WIDTH = {letter: width for width, letters in _CLASSES.items() for letter in letters}
#: What a letter that is not in the table may take: nothing of the Latin, Greek and Cyrillic letters is wider.
_OTHER = 1.2
#: What bold adds to a letter.
_BOLD = 0.12


def width(text: str, size: float, *, bold: bool = False) -> float:
    """The width of `text` at font size `size`, in the same unit; at least what it takes when drawn."""
    return size * sum(_letter(letter, bold) for letter in text)


def _letter(letter: str, bold: bool) -> float:
    if combining(letter):
        return 0.0
    known = _WIDTH.get(letter, _OTHER if east_asian_width(letter) not in "WF" else 1.3)
    return known + _BOLD if bold else known


def split(word: str, room: float, size: float, *, bold: bool = False) -> list[str]:
    """`word` in pieces that fit into `room`; a piece has at least one letter."""
    pieces, piece = [], ""
    for letter in word:
        if piece and width(piece + letter, size, bold=bold) > room:
            pieces.append(piece)
            piece = ""
        piece += letter
    return [*pieces, piece] if piece else pieces
