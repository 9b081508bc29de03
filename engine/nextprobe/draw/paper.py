"""The frame of a page for paper: one file, no network, no script."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape


def paper(title: str, style: str, body: Iterable[str]) -> str:
    """An HTML page with the `title`, not escaped yet, in its head; body: its elements, as they stand."""
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{escape(title)}</title><style>{style}</style></head>\n<body>\n"
        + "\n".join(body)
        + "\n</body></html>\n"
    )
