"""`load_pack`: from an id or a path to the typed Pack, or a PackError that carries every finding."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from pathlib import Path

from nextprobe.errors import PackError
from nextprobe.pack.board import overlay
from nextprobe.pack.build import build_pack
from nextprobe.pack.cache import CachedSource, load_source
from nextprobe.pack.pack import Pack
from nextprobe.pack.shop import Shop, make_shop, overlay_shop
from nextprobe.resources import find_board, find_pack

#: How a pack is kept with a job.
KEPT = 2


def load_pack(ref: str | Path, board: str | Path | None = None, shop: Shop | None = None) -> Pack:
    """The pack that `ref` means (a bundled id, a folder or a file), with `board`'s and `shop`'s values in it.

    Raises PackError with all findings when it holds errors, UsageError when there is none.
    """
    path = find_pack(str(ref))
    source = _checked(load_source(path), f"The pack {str(ref)!r} cannot be used.")
    data, files = source.data, dict(source.files)
    if board is not None:
        sheet = _checked(load_source(find_board(str(board))), f"The board sheet {str(board)!r} cannot be used.")
        data = overlay(data, sheet.data)
        files.update({f"board/{name}": text for name, text in sheet.files.items()})
    if shop is not None and shop.data is not None:
        data = overlay_shop(data, shop)
        files["shop"] = json.dumps(shop.data, sort_keys=True, ensure_ascii=False)
    return build_pack(data, files=files, content_hash=content_hash(files))


def load_shop(path: Path) -> Shop:
    """The shop file at `path`. Raises PackError with all findings when it holds errors."""
    return make_shop(_checked(load_source(path), f"The shop file {path.name!r} cannot be used.").data)


def kept_text(pack: Pack) -> str:
    """What a record keeps of a pack: its exact texts, and the data they make."""
    kept = {"format": KEPT, "files": dict(pack.files), "data": pack.data}
    return json.dumps(kept, ensure_ascii=False, sort_keys=False)


def pack_from_kept(text: str) -> Pack:
    """The pack that `kept_text` kept. Raises PackError when it cannot be read."""
    try:
        kept = json.loads(text)
        files = kept["files"]
        # What was kept before the folders stopped counting goes by the hash that it was kept under.
        own = content_hash(files) if kept.get("format") == KEPT else _hash_of(sorted(files.items()))
        return build_pack(kept["data"], files=files, content_hash=own)
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise PackError(
            "The pack that was kept with this job cannot be read.", cure=f"Put a backup in its place ({error})."
        ) from None


def content_hash(files: Mapping[str, str]) -> str:
    """SHA-256 over the exact texts of the files of a pack, its board sheet and the shop, and over their own names.

    The folders do not count: the same pack is the same wherever it lies, and wherever one stands.
    """
    return _hash_of(sorted((name.replace("\\", "/").rpartition("/")[2], text) for name, text in files.items()))


def _hash_of(named: Iterable[tuple[str, str]]) -> str:
    digest = hashlib.sha256()
    for one in named:
        for part in one:
            raw = part.encode("utf-8", "surrogatepass")
            digest.update(len(raw).to_bytes(8, "big"))
            digest.update(raw)
    return digest.hexdigest()


def _checked(source: CachedSource, sentence: str) -> CachedSource:
    if any(finding.severity == "error" for finding in source.findings):
        raise PackError(sentence, source.findings, cure="Mend what is named, then try again.")
    return source
