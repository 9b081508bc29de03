"""A new pack from answered lines: its files, and the folder they are written into."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from nextprobe.pack.format import format_text
from nextprobe.resources import schemas_dir
from nextprobe.write.answers import Answers
from nextprobe.write.beside import cases_text, readme_text
from nextprobe.write.folder import check_free, write_folder
from nextprobe.write.pack_text import pack_text
from nextprobe.write.plan_of_pack import Entries, entries_of
from nextprobe.write.read import read_answers
from nextprobe.write.words import id_of


@dataclass(frozen=True, slots=True)
class NewPack:
    """What was written: its id, the names of its files, what was answered and what it became."""

    id: str
    files: tuple[str, ...]
    answers: Answers
    entries: Entries


def new_pack(folder: Path, lines: Mapping[str, Sequence[str]], today: date) -> NewPack:
    """Write a new pack into `folder`, which must not be there or be empty.

    lines: the answers by the key of their question. today: how the pack is dated. Raises UsageError for a line that
    cannot be read and for a folder that cannot be made; then nothing is written.
    """
    place = check_free(folder)
    answers = read_answers(lines)
    entries = entries_of(answers)
    pack_id = id_of(place.name, "pack", set()).replace("_", "-")
    schemas, copied = _schemas(place)
    files = {
        "pack.yaml": format_text(pack_text(pack_id, schemas["pack"], today, answers, entries)),
        "cases.yaml": format_text(cases_text(schemas["cases"], entries), "cases.yaml"),
        "README.md": readme_text(place.name, answers, entries, copied=bool(copied)),
    }
    write_folder(place, files | copied)
    return NewPack(pack_id, tuple(files), answers, entries)


def _schemas(place: Path) -> tuple[dict[str, str], dict[str, str]]:
    """Where an editor finds each schema, as a path from the pack; and what is copied beside the pack for that.

    Within one checkout the checkout's own serve. Elsewhere they are copied: a pack is handed on as a folder, and a path
    to where this program is installed would hold on this machine alone.
    """
    home = schemas_dir().parent
    paths = {name: schemas_dir() / f"{name}.schema.json" for name in ("pack", "cases")}
    if place.is_relative_to(home) and home.name != "_data":
        return {name: Path(os.path.relpath(path, place)).as_posix() for name, path in paths.items()}, {}
    beside = {name: f"schemas/{path.name}" for name, path in paths.items()}
    return beside, {beside[name]: path.read_text(encoding="utf-8") for name, path in paths.items()}
