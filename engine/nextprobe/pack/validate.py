"""Everything there is to say about a pack, a board sheet, a case, answers or shop file, or a lesson."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from nextprobe.errors import Finding
from nextprobe.pack.checked import Checked, in_order, started
from nextprobe.pack.compose import compose_pack
from nextprobe.pack.marks import Source
from nextprobe.pack.reader import FRESH, Reader
from nextprobe.pack.source import shown_name
from nextprobe.resources import is_file, packs_dir


def validate_pack(path: Path) -> tuple[Source, list[Finding]]:
    """The pack at `path` (its pack.yaml) and all findings, those on its cases, demo and sheets with it."""
    checked = check_pack(path, companions=True)
    return checked.source, checked.findings


def validate_board(path: Path, pack_source: Source | None = None) -> tuple[Source, list[Finding]]:
    """The board sheet at `path` and all findings, judged by `pack_source` or by the installed packs it serves."""
    packs = [] if pack_source is None else [started(pack_source, FRESH.shape(pack_source, "pack")[1], [])]
    checked = check_sheet(path, packs)
    return checked.source, checked.findings


def check_pack(path: Path, *, companions: bool = False, reader: Reader = FRESH) -> Checked:
    """Read and check a pack; with `companions` also its cases.yaml, demo.yaml and bundled board sheets."""
    from nextprobe.pack.rules import UNREAD, run_rules

    source = compose_pack(path, reader)
    shape, data = ([], None) if source.data is None else reader.shape(source, "pack")
    if any(one.code in UNREAD for one in source.findings):
        shape = [one for one in shape if one.path]  # a block may stand in the file that could not be read
    checked = started(source, data, [*source.findings, *shape])
    if isinstance(data, dict):
        checked.findings += run_rules(checked.context, checked.findings)
    if companions:
        _companions(checked, path, reader)
    checked.findings = in_order(checked.findings)
    return checked


def _companions(checked: Checked, path: Path, reader: Reader) -> None:
    """Add what there is to say about the files that belong to a pack."""
    shown = Path(shown_name(path)).parent
    for name, check in (("cases.yaml", check_cases_file), ("demo.yaml", check_answers)):
        beside = path.parent / name
        if beside.is_file():
            other = check(beside, checked, shown=str(shown / name), reader=reader)
            checked.findings += other.findings
            checked.depends_on(other)
        else:
            checked.absent.append(os.path.abspath(beside))  # noqa: PTH100
    boards = path.parent.parent / "boards"
    if boards.is_dir() and path.resolve().is_relative_to(packs_dir().resolve()):
        checked.folders.append(str(boards.resolve()))
        for sheet in sorted(boards.glob("*.yaml")):
            name = os.path.normpath(shown / ".." / "boards" / sheet.name)
            other = check_sheet(sheet, [checked], only_if_for=True, shown=name, reader=reader)
            checked.findings += other.findings
            checked.depends_on(other)


def check_sheet(
    path: Path,
    packs: Sequence[Checked] = (),
    *,
    only_if_for: bool = False,
    shown: str | None = None,
    reader: Reader = FRESH,
) -> Checked:
    """Read and check a board sheet against `packs` and, where they leave ids open, the other installed packs it serves.

    With `only_if_for` a sheet that does not name the first of `packs` has no findings.
    """
    from nextprobe.pack.check_board import check_board

    source = reader.read(path, shown=shown)
    shape, data = ([], None) if source.data is None else reader.shape(source, "board")
    checked = started(source, data, [*source.findings, *shape])
    serves = data.get("for") if isinstance(data, dict) else None
    served = [one for one in serves if isinstance(one, str)] if isinstance(serves, list) else []
    given = {str(pack.data.get("id")): pack for pack in packs if isinstance(pack.data, dict)}
    if only_if_for and not set(served) & set(given):
        checked.findings = []
        return checked
    used = [pack for pack in packs if isinstance(pack.data, dict)]
    asked = {*_keys(data, "measurements"), *_keys(data, "repairs"), *_keys(data, "good_board"), *_keys(data, "options")}
    if not used or any(not pack.context.kinds(id_) for id_ in asked for pack in used):
        used += [
            pack for id_ in served if id_ not in given and (pack := _installed(id_, path, checked, reader)) is not None
        ]
    for pack in used:
        checked.depends_on(pack)
    checked.findings += check_board(source, data, [pack.context for pack in used])
    checked.findings = in_order(checked.findings)
    return checked


def _keys(data: Any, block: str) -> list[str]:
    found = data.get(block) if isinstance(data, dict) else None
    return list(found) if isinstance(found, dict) else []


def _installed(id_: str, sheet: Path, checked: Checked, reader: Reader) -> Checked | None:
    """The pack `id_` beside the sheet's folder or among the bundled ones, read for its ids only."""
    for folder in (sheet.resolve().parent.parent, packs_dir().resolve()):
        path = folder / id_ / "pack.yaml"
        if is_file(path):
            source = compose_pack(path, reader)
            if isinstance(source.data, dict) and source.data:
                return started(source, reader.shape(source, "pack")[1], [])
        checked.absent.append(str(path))
    return None


def check_cases_file(
    path: Path, pack: Checked | None = None, *, shown: str | None = None, reader: Reader = FRESH
) -> Checked:
    """Read and check a case file; its pack is `pack` or the pack.yaml beside it."""
    from nextprobe.pack.check_cases import check_cases

    checked, pack = _with_pack(path, "cases", pack, shown, reader)
    if pack is not None:
        checked.findings += check_cases(checked.source, checked.data, pack.context)
    checked.findings = in_order(checked.findings)
    return checked


def check_answers(
    path: Path, pack: Checked | None = None, *, shown: str | None = None, reader: Reader = FRESH
) -> Checked:
    """Read and check an answers file against `pack`, or against the pack.yaml beside it."""
    from nextprobe.pack.check_told import check_told

    checked, pack = _with_pack(path, "answers", pack, shown, reader)
    if pack is not None:
        checked.findings += check_told(checked.source, checked.data, (), [pack.context], answers=True)
    checked.findings = in_order(checked.findings)
    return checked


def check_shop(path: Path, pack: Checked | None = None, *, reader: Reader = FRESH) -> Checked:
    """Read and check a shop file. Its ids are not judged: one shop serves several packs."""
    from nextprobe.pack.rules import accuracy_unreadable, findings_of

    source = reader.read(path)
    shape, data = ([], None) if source.data is None else reader.shape(source, "shop")
    checked = started(source, data, [*source.findings, *shape])
    checked.findings += findings_of(accuracy_unreadable, checked.context)
    checked.findings = in_order(checked.findings)
    return checked


def check_lesson_file(path: Path, *, reader: Reader = FRESH) -> Checked:
    """Read and check a lesson against the pack that it names."""
    from nextprobe.pack.check_lesson import check_lesson

    source = reader.read(path)
    shape, data = ([], None) if source.data is None else reader.shape(source, "lesson")
    checked = started(source, data, [*source.findings, *shape])
    checked.findings += list(check_lesson(path, source, data, reader, checked))
    checked.findings = in_order(checked.findings)
    return checked


def _with_pack(
    path: Path, kind: str, pack: Checked | None, shown: str | None, reader: Reader
) -> tuple[Checked, Checked | None]:
    source = reader.read(path, shown=shown)
    shape, data = ([], None) if source.data is None else reader.shape(source, kind)
    checked = started(source, data, [*source.findings, *shape])
    beside = path.parent / "pack.yaml"
    if pack is None and beside.is_file():
        composed = compose_pack(beside, reader)
        if isinstance(composed.data, dict) and composed.data:
            pack = started(composed, reader.shape(composed, "pack")[1], [])
            checked.depends_on(pack)
    return checked, pack if pack is not None and isinstance(pack.data, dict) else None


def check_any(path: Path, reader: Reader = FRESH) -> Checked:
    """Read and check a file of whatever kind it is, judged by what stands in it."""
    kind = kind_of(path, reader)
    if kind == "pack":
        return check_pack(path, companions=True, reader=reader)
    if kind == "board":
        return check_sheet(path, reader=reader)
    if kind == "cases":
        return check_cases_file(path, reader=reader)
    if kind == "lesson":
        return check_lesson_file(path, reader=reader)
    return check_shop(path, reader=reader) if kind == "shop" else check_answers(path, reader=reader)


def kind_of(path: Path, reader: Reader = FRESH) -> str:
    """pack, board, cases, shop, lesson or answers: by name where that says it, else by what stands in the file."""
    by_name = {"pack": "pack", "cases": "cases", "shop": "shop", "demo": "answers", "answers": "answers"}.get(path.stem)
    if by_name:
        return by_name
    data = reader.read(path).data
    if isinstance(data, list):
        return "cases"
    if isinstance(data, dict) and "pack" in data:
        return "lesson"
    if not isinstance(data, dict) or "causes" in data:
        return "pack"
    if {"for", "sketch", "good_board"} & set(data):
        return "board"
    if "format" in data:
        return "shop" if {"lacks", "limit", "labour_per_hour"} & set(data) else "pack"
    return "answers" if all(isinstance(value, (str, int, float)) for value in data.values()) else "pack"
