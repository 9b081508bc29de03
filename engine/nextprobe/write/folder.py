"""A folder that is there whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from nextprobe.errors import UsageError


def check_free(folder: Path) -> Path:
    """The place of a new folder, absolute. Raises UsageError where it cannot be made or something stands there."""
    try:
        if "\0" in str(folder):
            raise ValueError(folder)
        place = Path(os.path.abspath(folder))  # noqa: PTH100 - a link's own name is what is made
        there = os.path.lexists(place)
        empty = place.is_dir() and not place.is_symlink() and not any(place.iterdir())
        above = place.parent.is_dir()
    except (OSError, ValueError):
        raise UsageError(f"No folder can be called {str(folder)!r}.", "Name another.") from None
    if there and (not empty or place == Path.cwd()):
        raise UsageError(f"{str(folder)!r} is there already; nothing is overwritten.", "Name a new folder.")
    if not above:
        raise UsageError(f"There is no folder for {str(folder)!r}.", "Make the folder above it first, or name another.")
    return place


def write_folder(folder: Path, files: Mapping[str, str]) -> None:
    """Write `files` (name: text; a name may be in a folder) as the new `folder` in one step: aside first, then renamed.

    Whatever ends the process, `folder` holds all of them or does not exist (or is empty, as it was).
    Raises UsageError where it cannot be written or something stands there.
    """
    place = check_free(folder)
    aside: str | None = None
    try:
        aside = tempfile.mkdtemp(prefix=f".{place.name[:40]}.", suffix=".new", dir=place.parent)
        for name, text in files.items():
            (Path(aside) / name).parent.mkdir(exist_ok=True)
            with (Path(aside) / name).open("w", encoding="utf-8", newline="\n") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
        # A folder made for this alone is its owner's only; a pack is read by others as any other file.
        Path(aside).chmod(0o777 & ~_mask())
        if place.is_dir():
            place.rmdir()
        Path(aside).rename(place)
        aside = None
    except OSError as error:
        raise UsageError(f"{str(folder)!r} cannot be written: {error.strerror}.", "Name another folder.") from None
    finally:
        if aside is not None:
            shutil.rmtree(aside, ignore_errors=True)


def _mask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
