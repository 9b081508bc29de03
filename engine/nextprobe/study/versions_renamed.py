"""Ids that are others in a newer version of a pack, and the older pack with the newer ids."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nextprobe.pack.build import build_pack
from nextprobe.pack.pack import Pack
from nextprobe.study.versions_changes import ENTRIES

#: A renamed entry may name others that are renamed too; so many rounds find them.
ROUNDS = 3
#: What a person reads of an entry; it tells that it is the same under another id.
_WORDS = ("title", "ask", "say")


def renamed(old: Pack, new: Pack) -> dict[str, str]:
    """Old id -> new id of every entry that is gone and has come again: the same content, or the same title."""
    names: dict[str, str] = {}
    for _ in range(ROUNDS):
        data = with_ids(old.data, names)
        found = {
            was: now for block in ENTRIES for was, now in _block(_rows(data, block), _rows(new.data, block)).items()
        }
        back = {now: was for was, now in names.items()}
        found = {back.get(was, was): now for was, now in found.items()}
        if not found:
            break
        names |= found
    return names


def with_names(pack: Pack, names: Mapping[str, str]) -> Pack:
    """`pack` with the newer ids wherever the older stand."""
    if not names:
        return pack
    return build_pack(with_ids(pack.data, names), files=pack.files, content_hash=pack.hash)


def with_ids(value: Any, names: Mapping[str, str]) -> Any:
    """The same data with other ids: as keys, and as texts that are an id and nothing else."""
    if not names:
        return value
    if isinstance(value, Mapping):
        return {names.get(key, key): with_ids(one, names) for key, one in value.items()}
    if isinstance(value, list):
        return [with_ids(one, names) for one in value]
    return names.get(value, value) if isinstance(value, str) else value


def _block(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, str]:
    gone = [id_ for id_ in old if id_ not in new]
    came = [id_ for id_ in new if id_ not in old]
    found: dict[str, str] = {}
    for was in gone:
        same = [now for now in came if now not in found.values() and _same(old[was], new[now])]
        if len(same) == 1:
            found[was] = same[0]
    return found


def _same(old: Any, new: Any) -> bool:
    if old == new:
        return True
    if not isinstance(old, Mapping) or not isinstance(new, Mapping):
        return False
    return any(word in old and old[word] == new.get(word) for word in _WORDS)


def _rows(data: Mapping[str, Any], block: str) -> Mapping[str, Any]:
    found = data.get(block)
    return found if isinstance(found, Mapping) else {}
