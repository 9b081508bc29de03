"""A reader that keeps what it read: a file that did not change is not read, a sound entry not checked again."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

from nextprobe.errors import Finding
from nextprobe.pack.compose import BLOCKS
from nextprobe.pack.decode import read_text
from nextprobe.pack.marks import Source
from nextprobe.pack.reader import Reader
from nextprobe.pack.schema import check_shape
from nextprobe.pack.source import read_yaml, shown_name
from nextprobe.pack.watch_patch import patched


class KeepingReader(Reader):
    """Gives what a fresh reader gives, sooner. What it returns is shared: nobody may change it."""

    def __init__(self) -> None:
        self._read: dict[tuple[str, str], Source] = {}
        self._shaped: dict[tuple[str, str], tuple[Source, list[Finding], Any]] = {}
        #: For each pack its entries whose shape is known to be right, by block and id.
        self._sound: dict[str, dict[tuple[str, str], Any]] = {}

    def read(self, path: Path, shown: str | None = None) -> Source:
        """The file at `path` with its marks."""
        name = shown or shown_name(path)
        key = (os.path.abspath(path), name)  # noqa: PTH100 - keeps links as they were given
        text, found = read_text(path, name)
        if text is None or found:
            self._read.pop(key, None)
            return read_yaml(path, shown=name)
        old = self._read.get(key)
        if old is None or old.files[name] != text:
            self._read[key] = (old and patched(old, name, text)) or read_yaml(path, text, shown=name)
        return self._read[key]

    def shape(self, source: Source, kind: str) -> tuple[list[Finding], Any]:
        """Findings on the shape of `source`, and its data without what is misshapen."""
        key = (kind, next(iter(source.paths.values()), ""))
        known = self._shaped.get(key)
        if known is not None and known[0] is source:
            return list(known[1]), known[2]
        sound = self._sound.setdefault(key[1], {})
        if kind == "pack" and isinstance(source.data, dict):
            findings, data = check_shape(source, kind, _doubtful(source.data, sound))
            if not source.spoiled:
                sound.update(_sound(source.data, findings))
        else:
            findings, data = check_shape(source, kind)
        self._shaped[key] = (source, findings, data)
        return list(findings), data


def _doubtful(data: dict[str, Any], sound: dict[tuple[str, str], Any]) -> dict[str, Any]:
    """A pack's data without the entries that are known to be right; no block is emptied."""
    thin = dict(data)
    for block in BLOCKS:
        rows = data.get(block)
        if isinstance(rows, dict) and rows:
            left = {id_: row for id_, row in rows.items() if sound.get((block, id_)) is not row}
            thin[block] = left or dict([next(iter(rows.items()))])
    return thin


def _sound(data: dict[str, Any], findings: list[Finding]) -> dict[tuple[str, str], Any]:
    """The entries of which nothing was said, nor of their block as a whole."""
    blamed = {one.path for one in findings}
    places = {re.split(r"(?<=.)[.\[]", path, maxsplit=2)[1] for path in blamed if "." in path}
    return {
        (block, id_): row
        for block in BLOCKS
        if block not in blamed and isinstance(data.get(block), dict)
        for id_, row in data[block].items()
        if isinstance(row, dict) and id_ not in places
    }
