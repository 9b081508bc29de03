"""The files that `nextprobe format` lays out, before and after, and writing them in one piece."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from nextprobe.errors import PackError, UsageError
from nextprobe.pack.decode import decode
from nextprobe.pack.format import format_text
from nextprobe.pack.source import read_yaml, shown_name


@dataclass(frozen=True, slots=True)
class Laid:
    """A file as it stands and as it is laid out."""

    path: Path
    shown: str
    before: str
    after: str

    @property
    def changed(self) -> bool:
        """Whether there is anything to write."""
        return self.before != self.after


def lay_out(paths: Sequence[Path]) -> list[Laid]:
    """Every file of the packs (and single files) at `paths`, laid out; nothing is written.

    Raises PackError, with what is wrong, when one of them cannot be read.
    """
    files = dict.fromkeys(file for path in paths for file in files_of(path))
    return [_laid(file) for file in files]


def files_of(path: Path) -> Iterator[Path]:
    """A pack.yaml with the files in its folder that belong to it; any other file alone.

    What several packs share lies in another folder and is laid out where it is named itself.
    """
    yield path
    if path.name != "pack.yaml":
        return
    data = read_yaml(path).data
    listed = data.get("include") if isinstance(data, dict) else None
    names = [name for name in listed if isinstance(name, str)] if isinstance(listed, list) else []
    for name in [*names, "cases.yaml", "demo.yaml"]:
        file = path.parent / name
        if file.parent.resolve() == path.parent.resolve() and file.is_file():
            yield file


def write(laid: Laid) -> None:
    """Put the laid-out text in the place of the file, all of it or nothing. Raises UsageError where it cannot."""
    target = Path(os.path.realpath(laid.path))
    fresh = ""
    try:
        handle, fresh = tempfile.mkstemp(prefix=".", suffix=".tmp", dir=target.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(laid.after.encode("utf-8"))
        Path(fresh).chmod(target.stat().st_mode & 0o7777)
        Path(fresh).replace(target)
    except OSError as fault:
        if fresh:
            with suppress(OSError):
                Path(fresh).unlink()
        reason = (fault.strerror or type(fault).__name__).lower()
        raise UsageError(f"{laid.shown} cannot be written: {reason}.", "It is as it was.") from None


def _laid(path: Path) -> Laid:
    shown = shown_name(path)
    try:
        raw = path.read_bytes()
    except OSError as fault:
        reason = (fault.strerror or type(fault).__name__).lower()
        raise UsageError(f"{shown} cannot be read: {reason}.", "Check the path, and that you may read it.") from None
    text, found = decode(raw, shown)
    if text is None:
        raise PackError(f"{shown} cannot be formatted.", found, cure="Nothing was changed. Mend it, then try again.")
    before = raw.decode("utf-8")
    return Laid(path, shown, before, format_text(before, shown))
