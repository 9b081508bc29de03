"""What was checked, kept by the content of every file it depends on.

A warm load reads the files, compares their hashes and imports neither the YAML reader nor the
schema, graph or array libraries. A cache that is broken or cannot be written is not used, silently.
``NEXTPROBE_CACHE`` names another folder; empty, it turns the cache off.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nextprobe.errors import Finding
from nextprobe.resources import schemas_dir

if TYPE_CHECKING:
    from nextprobe.pack.checked import Checked

#: More entries than this are not kept; the oldest go.
_MOST_ENTRIES = 200


@dataclass(frozen=True, slots=True)
class CachedSource:
    """A file that was read and checked: merged data, findings, texts by shown name, content hash."""

    data: Any
    findings: tuple[Finding, ...]
    files: Mapping[str, str] = field(default_factory=dict)
    hash: str = ""


def load_source(path: Path | str) -> CachedSource:
    """The pack (without its cases and sheets) or board sheet at `path`, from the cache where it is warm."""
    path = Path(path)
    return _through_cache("load", path, lambda: _check_alone(path))


def validate_source(path: Path | str) -> CachedSource:
    """As load_source, with everything that `nextprobe validate` says; a file of any kind."""
    path = Path(path)
    return _through_cache("validate", path, lambda: _check_any(path))


def _check_alone(path: Path) -> Checked:
    from nextprobe.pack.validate import check_any, check_pack, kind_of

    return check_pack(path) if kind_of(path) == "pack" else check_any(path)


def _check_any(path: Path) -> Checked:
    from nextprobe.pack.validate import check_any

    return check_any(path)


def _through_cache(kind: str, path: Path, compute: Any) -> CachedSource:
    entry = _entry_path(kind, path)
    found = _read(entry) if entry is not None else None
    if found is not None:
        return found
    checked: Checked = compute()
    from nextprobe.pack.compose import content_hash

    source = checked.source
    result = CachedSource(source.data, tuple(checked.findings), dict(source.files), content_hash(source.files))
    if entry is not None:
        _write(entry, checked, result)
    return result


def _folder() -> Path | None:
    chosen = os.environ.get("NEXTPROBE_CACHE")
    if chosen is not None:
        return Path(chosen) if chosen.strip() else None
    from platformdirs import user_cache_path

    return user_cache_path("nextprobe", appauthor=False)


def _entry_path(kind: str, path: Path) -> Path | None:
    folder = _folder()
    if folder is None:
        return None
    # The shown names in the findings depend on the working folder, so it is part of the key.
    parts = (kind, os.path.realpath(path), str(path), os.getcwd(), _token())  # noqa: PTH109
    return folder / f"{hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:40]}.json"


@cache
def _token() -> str:
    """Changes whenever the code or a schema that judges packs changes."""
    here = Path(__file__).parent
    digest = hashlib.sha256()
    for folder in (here, here / "rules", here.parent / "quantity", schemas_dir()):
        try:
            with os.scandir(folder) as entries:
                listed = sorted(
                    (one.name, one.stat().st_size, one.stat().st_mtime_ns)
                    for one in entries
                    if one.name.endswith((".py", ".json"))
                )
        except OSError:
            listed = []
        digest.update(repr((str(folder), listed)).encode())
    return digest.hexdigest()


def _digest(path: str) -> tuple[str | None, bytes]:
    try:
        raw = Path(path).read_bytes()
    except OSError:
        return None, b""
    return hashlib.sha256(raw).hexdigest(), raw


def _names(folder: str) -> list[str]:
    try:
        return sorted(os.listdir(folder))  # noqa: PTH208 - names only, and quickly
    except OSError:
        return []


def _read(entry: Path) -> CachedSource | None:
    try:
        saved = json.loads(entry.read_bytes())
        raws = {}
        for path, digest in saved["inputs"].items():
            now, raws[path] = _digest(path)
            if now != digest:
                return None
        if any(os.path.lexists(path) for path in saved["absent"]):
            return None
        if any(_names(folder) != names for folder, names in saved["folders"].items()):
            return None
        files = {shown: raws[path].decode("utf-8-sig") for shown, path in saved["files"].items()}
        findings = tuple(Finding(**one) for one in saved["findings"])
        return CachedSource(saved["data"], findings, files, saved["hash"])
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def _write(entry: Path, checked: Checked, result: CachedSource) -> None:
    """Keep `result`, unless a file changed while it was read, is no text or was never there."""
    try:
        inputs = {path: _digest(path)[0] for path in checked.inputs}
        for shown, path in checked.source.paths.items():
            if _digest(path)[1].decode("utf-8-sig") != result.files[shown]:
                return
        text = json.dumps(
            {
                "inputs": inputs,
                "absent": checked.absent,
                "folders": {folder: _names(folder) for folder in checked.folders},
                "files": checked.source.paths,
                "hash": result.hash,
                "findings": [one.as_dict() for one in result.findings],
                "data": result.data,
            },
            ensure_ascii=False,
        )
        entry.parent.mkdir(parents=True, exist_ok=True)
        _prune(entry.parent.glob("*.json"))
        fresh = entry.with_suffix(f".{os.getpid()}.tmp")
        fresh.write_text(text, "utf-8")
        fresh.replace(entry)
    except (OSError, ValueError, KeyError):
        return


def _prune(entries: Iterable[Path]) -> None:
    listed = sorted(entries, key=lambda one: one.stat().st_mtime)
    for old in listed[: max(0, len(listed) - _MOST_ENTRIES)]:
        old.unlink(missing_ok=True)
