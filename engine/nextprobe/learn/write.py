"""What was learnt, written into the pack's own files: all of it or nothing, and nothing else changes."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from math import floor, log10
from pathlib import Path as FilePath
from typing import Any

from nextprobe.errors import PackError, UsageError
from nextprobe.learn.before import WITH_SOURCE
from nextprobe.learn.learned import Change, Learned
from nextprobe.learn.yaml_edit import YamlText, flow
from nextprobe.pack.format_files import Laid, write
from nextprobe.pack.marks import Path, Source, shown_path
from nextprobe.pack.numbers import at_path

#: A number that the records touched less often than this stays as it is.
SEEN = 1.0
BOM = "\ufeff"


@dataclass(frozen=True)
class Written:
    """What was written: the names of the files, how many numbers; what was not, with the reason."""

    files: tuple[str, ...]
    numbers: int
    left: Mapping[str, str] = field(default_factory=dict)


def write_learned(ref: str, learned: Learned) -> Written:
    """Write the numbers after in the place of those before, each with its source, into the pack that `ref` means.

    Raises UsageError for a pack that was installed with the program and for files that cannot be written, PackError
    where a file cannot be changed without a change of something else. Nothing was written then, save where the disk
    failed between two files.
    """
    from nextprobe.pack.compose import compose_pack
    from nextprobe.resources import find_pack

    path = find_pack(ref)
    refuse_installed(path, ref)
    source = compose_pack(path)
    left: dict[str, str] = {}
    by_file: dict[str, list[tuple[Change, str]]] = {}
    for change in learned.changes:
        written = _written(change, source)
        if written is None:
            continue
        file = _file(change.path, source, path)
        if isinstance(file, FilePath):
            left[shown_path(change.path)] = f"it stands in {file.name}, which other packs share"
        elif not file:
            left[shown_path(change.path)] = "it stands nowhere in the pack's files"
        else:
            by_file.setdefault(file, []).append((change, written))
    laid = [_laid(source, file, changes, learned) for file, changes in by_file.items()]
    laid = _with_top(laid, source, path, by_file, learned)
    for one in laid:
        write(one)
    count = sum(len(changes) for changes in by_file.values())
    return Written(tuple(one.shown for one in laid), count, left)


def refuse_installed(path: FilePath, ref: str) -> None:
    """Raises UsageError for a pack inside the installed program, which the next update would overwrite."""
    from nextprobe.resources import packs_dir

    inside = packs_dir().resolve()
    if inside.parent.name == "_data" and path.resolve().is_relative_to(inside):
        raise UsageError(
            f"The pack {ref!r} came with the program: an update would undo what is written into it.",
            f"Copy the folder {inside} first, then name the copy: nextprobe learn COPY/{path.parent.name} --write.",
        )


def figure(value: float) -> str:
    """A number to three figures, without an exponent."""
    if value <= 0.0:
        return "0"
    text = f"{value:.{max(0, 2 - floor(log10(value)))}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _written(change: Change, source: Source) -> str | None:
    """What is to stand there; None where the number stays."""
    if change.kind not in ("weight", "unlisted") and change.seen < SEEN:
        return None
    after = figure(min(change.after, 0.999) if change.kind in ("fixes", "misread", "unlisted") else change.after)
    now = at_path(source.data, change.path)
    same = figure(change.before) == after and (now is None or now == change.before)
    if same or (isinstance(now, (int, float)) and figure(float(now)) == after):
        return None
    if isinstance(now, str):
        return None if now == f"{after} min" else f"{after} min"
    return after


def _file(path: Path, source: Source, pack: FilePath) -> str | FilePath:
    """The shown name of the file that holds the number, "" for none; a path where it is another pack's too."""
    if path not in source.marks:
        return ""
    shown = source.marks[path].file
    lies = FilePath(source.paths[shown])
    return shown if lies.resolve().parent == pack.resolve().parent else lies


def _entry(path: Path) -> Path:
    return path[:2] if path[0] in WITH_SOURCE else ()


def _laid(source: Source, file: str, changes: list[tuple[Change, str]], learned: Learned) -> Laid:
    """The file with its numbers changed, and the sources of entries that stand in it."""
    raw, yaml = _open(source, file)
    entries: dict[Path, list[tuple[Change, str]]] = {}
    for change, written in changes:
        yaml.put(change.path, written)
        if _entry(change.path):
            entries.setdefault(_entry(change.path), []).append((change, written))
    for entry, among in entries.items():
        yaml.put_source(entry, flow(_source(source, entry, among, learned)), among[0][0].path)
    expected = deepcopy(_read(file, raw.removeprefix(BOM)))
    for change, written in changes:
        _set(expected, change.path, written)
    for entry, among in entries.items():
        at_path(expected, entry)["source"] = _source(source, entry, among, learned)
    return _sound(source, file, raw, yaml, expected)


def _with_top(
    laid: list[Laid], source: Source, path: FilePath, by_file: Mapping[str, list[tuple[Change, str]]], learned: Learned
) -> list[Laid]:
    """The files with the source at the pack's top, where numbers changed that have no nearer place for one."""
    top = [one for changes in by_file.values() for one in changes if not _entry(one[0].path)]
    if not top:
        return laid
    mark = source.marks.get(("source",))
    file = mark.file if mark is not None else source.marks[top[0][0].path].file
    row = _source(source, (), top, learned)
    before = next((one for one in laid if one.shown == file), None)
    raw = before.after if before is not None else _open(source, file)[0]
    yaml = YamlText(raw.removeprefix(BOM))
    yaml.put_source((), flow(row), top[0][0].path)
    expected = _read(file, raw.removeprefix(BOM))
    expected["source"] = row
    done = _sound(source, file, raw, yaml, expected)
    first = before.before if before is not None else raw
    return [*(one for one in laid if one.shown != file), Laid(done.path, file, first, done.after)]


def _source(source: Source, entry: Path, changes: list[tuple[Change, str]], learned: Learned) -> dict[str, Any]:
    """The source of an entry: of the numbers that the records changed, with what stood there, and of the rest."""
    old = at_path(source.data, (*entry, "source")) or {}
    has = "before" in old
    before = deepcopy(old["before"]) if has else {}
    for change, _ in changes:
        tail = change.path[len(entry) :]
        if at_path(before, tail) is None:
            _set_value(before, tail, at_path(source.data, change.path))
    doubt = max(change.doubt for change, _ in changes)
    row: dict[str, Any] = {"kind": "records", "jobs": learned.jobs, "from": learned.since, "to": learned.until}
    if doubt >= 1.05:
        row["doubt"] = _number(figure(doubt))
    row["before"] = before
    rest = old.get("rest") if has else old
    return {**row, "rest": rest} if rest else row


def _open(source: Source, file: str) -> tuple[str, YamlText]:
    try:
        raw = FilePath(source.paths[file]).read_bytes().decode("utf-8")
    except (OSError, UnicodeDecodeError) as fault:
        raise UsageError(f"{file} cannot be read: {fault}.", "Nothing was written.") from None
    return raw, YamlText(raw.removeprefix(BOM))


def _sound(source: Source, file: str, raw: str, yaml: YamlText, expected: Any) -> Laid:
    after = yaml.edited()
    if _read(file, after) != expected:
        raise PackError(f"{file} cannot be changed without a change of something else.", cure="Nothing was written.")
    return Laid(FilePath(source.paths[file]), file, raw, BOM * raw.startswith(BOM) + after)


def _read(file: str, text: str) -> Any:
    from nextprobe.pack.source import read_yaml

    found = read_yaml(FilePath(file), text, shown=file)
    if any(one.severity == "error" for one in found.findings):
        raise PackError(
            f"{file} cannot be changed.", found.findings, cure="Nothing was written. Mend it, then try again."
        )
    return found.data


def _set(data: Any, path: Path, written: str) -> None:
    at_path(data, path[:-1])[path[-1]] = written if written.endswith("min") else _number(written)


def _set_value(data: dict[str, Any], path: Path, value: Any) -> None:
    for part in path[:-1]:
        data = data.setdefault(str(part), {})
    data[str(path[-1])] = value


def _number(text: str) -> float | int:
    return float(text) if "." in text else int(text)
