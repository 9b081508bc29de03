"""Text in boxes: words wrapped into lines that fit."""

from __future__ import annotations

import re
from dataclasses import dataclass

from nextprobe.draw.widths import split, width

#: A figure and its unit stay on one line.
_UNIT = re.compile(r"(?<=\d) (?=(?:%|min|h|pt|V|A|Ω)(?!\w))")


@dataclass(frozen=True, slots=True)
class Span:
    """A run of text in one style."""

    text: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """Spans beside one another, at one size."""

    spans: tuple[Span, ...]
    size: float

    @property
    def width(self) -> float:
        """What the line takes, never too small."""
        return sum(width(span.text, self.size, bold=span.bold) for span in self.spans)


def wrap(spans: tuple[Span, ...], size: float, room: float) -> list[Line]:
    """The spans, one after another, in lines no wider than `room`; a word that is wider is broken."""
    lines: list[list[Span]] = [[]]
    used = 0.0
    for span in spans:
        for word in _UNIT.sub("\u00a0", " ".join(span.text.split())).split(" "):
            for piece in split(word, room, size, bold=span.bold):
                gap = width(" ", size, bold=span.bold) if lines[-1] else 0.0
                wide = width(piece, size, bold=span.bold)
                if lines[-1] and used + gap + wide > room:
                    lines.append([])
                    used, gap = 0.0, 0.0
                lines[-1].append(Span((" " if lines[-1] else "") + piece, span.bold))
                used += gap + wide
    return [Line(_joined(line), size) for line in lines if line]


def _joined(line: list[Span]) -> tuple[Span, ...]:
    """Neighbours of one style made one."""
    found: list[Span] = []
    for span in line:
        if found and found[-1].bold == span.bold:
            found[-1] = Span(found[-1].text + span.text, span.bold)
        else:
            found.append(span)
    return tuple(found)
