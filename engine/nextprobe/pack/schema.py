"""The shape of a file: JSON Schema errors as findings, one a defect, at the line they belong to."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from functools import cache
from typing import TYPE_CHECKING, Any

from nextprobe.errors import Finding
from nextprobe.pack.marks import Path, Source, shown_path
from nextprobe.pack.schema_words import Said, words_for
from nextprobe.resources import schemas_dir

if TYPE_CHECKING:
    from jsonschema.exceptions import ValidationError
    from jsonschema.protocols import Validator


#: What a pack, and a condition of its bench, must have once its files are joined. An editor sees one
#: file, which may leave it to the others, so the schema does not ask for it.
WHOLE_PACK = ("format", "id", "causes")
WHOLE_CONDITION = ("values",)


@cache
def _validator(kind: str) -> Validator:
    from jsonschema import Draft202012Validator

    schema = json.loads((schemas_dir() / f"{kind}.schema.json").read_text("utf-8"))
    if kind == "pack":
        schema["required"] = list(WHOLE_PACK)
        schema["$defs"]["condition"]["required"] = list(WHOLE_CONDITION)
    return Draft202012Validator(schema)


def check_shape(source: Source, kind: str, doubtful: Any = None) -> tuple[list[Finding], Any]:
    """Findings on the shape of `source` as a pack, board, cases, shop or answers file.

    Also returns its data without what is misshapen, so that the rules for meaning can go on: a bad
    entry of a list is None there, a bad value or unknown key is left out. `doubtful` is the data
    without entries that are known to be right, where some are.
    """
    looked_at = source.data if doubtful is None else doubtful
    said = [one for error in _validator(kind).iter_errors(looked_at) for one in words_for(error, _path(error))]
    said = list(_one_a_defect(said))
    source.misspelt |= {(*one.path[:-1], one.near) for one in said if one.code == "NP201" and one.near}
    # A block of the wrong type is as good as one that is not there.
    source.misspelt |= {one.path for one in said if one.code == "NP203"}
    findings = []
    for one in said:
        if source.is_spoiled(one.path):
            continue
        mark = source.mark(one.path, of_key=one.of_key)
        findings.append(
            Finding(one.code, "error", one.message, one.cure, mark.file, mark.line, mark.column, shown_path(one.path))
        )
    return findings, pruned(source.data, [one.path for one in said if one.drop])


def _path(error: ValidationError) -> Path:
    return tuple(error.absolute_path)


def _one_a_defect(said: list[Said]) -> Iterator[Said]:
    """Without repeats, and without a missing key where a misspelt one beside it explains it."""
    unknown: dict[Path, set[str]] = {}
    for one in said:
        if one.code == "NP201":
            unknown.setdefault(one.path[:-1], set()).add(one.near)
    seen = set()
    for one in said:
        near = unknown.get(one.path, set())
        if one.code == "NP202" and one.near in near:
            continue
        if one.code == "NP208" and (
            near or any(other.path[:-1] == one.path for other in said if other.code != "NP208")
        ):
            continue
        key = (one.code, one.path, one.message)
        if key not in seen:
            seen.add(key)
            yield one


def pruned(data: Any, paths: Iterable[Path]) -> Any:
    """`data` without what stands at `paths` (None instead, inside lists); `data` itself is not changed."""
    tree: dict[Any, Any] = {}
    for path in paths:
        here = tree
        for part in path:
            here = here.setdefault(part, {})
        here[...] = True
    return _without(data, tree) if tree else data


def _without(data: Any, tree: dict[Any, Any]) -> Any:
    if ... in tree:
        return None
    if isinstance(data, dict):
        return {
            key: _without(value, tree[key]) if key in tree else value
            for key, value in data.items()
            if not (key in tree and ... in tree[key])
        }
    if isinstance(data, list):
        return [_without(value, tree[index]) if index in tree else value for index, value in enumerate(data)]
    return data
