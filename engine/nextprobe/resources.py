"""The only module that knows where the bundled packs, lessons and schemas lie."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from nextprobe.errors import UsageError


@cache
def data_dir(kind: str) -> Path:
    """The folder of bundled ``packs``, ``lessons``, ``schemas`` or ``docs``.

    A wheel carries them inside the package; a checkout keeps them at its top level.
    """
    package = Path(__file__).parent  # a wheel is always unpacked; importlib.resources would take 8 ms of every start
    inside = package / "_data" / kind
    return inside if inside.is_dir() else package.parent.parent / kind


def packs_dir() -> Path:
    """The folder of the bundled packs."""
    return data_dir("packs")


def schemas_dir() -> Path:
    """The folder of the JSON Schemas."""
    return data_dir("schemas")


def bundled_packs() -> list[str]:
    """The ids of the bundled packs, in alphabetical order."""
    return sorted(path.parent.name for path in packs_dir().glob("*/pack.yaml"))


def bundled_boards() -> list[str]:
    """The ids of the bundled board sheets, in alphabetical order."""
    return sorted(path.stem for path in (packs_dir() / "boards").glob("*.yaml"))


def lessons_dir() -> Path:
    """The folder of the bundled lessons."""
    return data_dir("lessons")


def bundled_lessons() -> list[str]:
    """The ids of the bundled lessons, in alphabetical order."""
    return sorted(path.stem for path in lessons_dir().glob("*.yaml"))


def is_file(path: Path) -> bool:
    """Whether there is such a file; a name that the system cannot even look up is none."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def find_pack(ref: str) -> Path:
    """The ``pack.yaml`` that `ref` means: a bundled id, a folder or a file.

    Raises UsageError when there is none.
    """
    path = Path(ref)
    for candidate in (path, path / "pack.yaml", packs_dir() / ref / "pack.yaml"):
        if is_file(candidate):
            return candidate
    raise UsageError(
        f"There is no pack {ref!r}.",
        f"Bundled packs: {', '.join(bundled_packs()) or 'none'}; or give the path of a pack.yaml or of its folder.",
    )


def find_lesson(ref: str) -> Path:
    """The lesson that `ref` means: a bundled id or a file.

    Raises UsageError when there is none.
    """
    for candidate in (Path(ref), lessons_dir() / f"{ref}.yaml"):
        if is_file(candidate):
            return candidate
    raise UsageError(
        f"There is no lesson {ref!r}.",
        f"Bundled lessons: {', '.join(bundled_lessons()) or 'none'}; or give the path of a lesson.",
    )


def find_board(ref: str) -> Path:
    """The board sheet that `ref` means: a bundled id or a file.

    Raises UsageError when there is none.
    """
    for candidate in (Path(ref), packs_dir() / "boards" / f"{ref}.yaml"):
        if is_file(candidate):
            return candidate
    raise UsageError(
        f"There is no board sheet {ref!r}.",
        f"Bundled sheets: {', '.join(bundled_boards()) or 'none'}; or give the path of a sheet.",
    )
