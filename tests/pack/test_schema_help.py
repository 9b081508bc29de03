"""What an editor can show from the schemas: words on every key, examples that fit, every choice explained."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from nextprobe.pack.schema import check_shape
from nextprobe.pack.source import read_yaml
from nextprobe.resources import packs_dir, schemas_dir

KINDS = ["pack", "board", "cases", "shop", "answers", "lesson"]
#: Files of a pack's folder that are no part of it by themselves; their blocks are judged as its own.
FILES = sorted(packs_dir().glob("*/*.yaml"))


def schema(kind: str) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads((schemas_dir() / f"{kind}.schema.json").read_text("utf-8"))
    return loaded


def parts(value: Any, place: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every schema within a schema, with its place."""
    if isinstance(value, dict):
        for name, inner in value.get("properties", {}).items():
            yield f"{place}.{name}", inner
            yield from parts(inner, f"{place}.{name}")
        for name, inner in value.get("$defs", {}).items():
            yield f"#{name}", inner
            yield from parts(inner, f"#{name}")
        for key in ("items", "additionalProperties"):
            inner = value.get(key)
            if isinstance(inner, dict):
                yield f"{place}.{key}", inner
                yield from parts(inner, f"{place}.{key}")


def target(kind: str, one: dict[str, Any]) -> dict[str, Any]:
    """What `one` refers to, or itself."""
    if "$ref" not in one:
        return one
    found: dict[str, Any] = schema(kind)["$defs"][one["$ref"].rsplit("/", 1)[1]]
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_the_schema_is_one_of_the_draft_that_it_names(kind: str) -> None:
    assert schema(kind)["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema(kind))


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_and_every_shape_has_words(kind: str) -> None:
    for place, one in parts(schema(kind)):
        known = {**target(kind, one), **one}
        # A finding says these words; the title of a plain value is that of its list or map.
        plain = place.endswith((".items", ".additionalProperties")) and one.get("type") in ("string", "number")
        assert plain or known.get("title"), place
        assert known.get("description", "").endswith((".", "?", "]")) or known.get("description"), place


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_that_takes_a_value_has_an_example(kind: str) -> None:
    for place, one in parts(schema(kind)):
        known = {**target(kind, one), **one}
        inner = known.get("additionalProperties", known.get("items"))
        spoken = isinstance(inner, dict) and ("$ref" in inner or "title" in inner)
        if place.endswith((".items", ".additionalProperties")) or known.get("type") == "boolean":
            continue
        assert {"examples", "enum", "const", "properties"} & set(known) or spoken, place


@pytest.mark.parametrize("kind", KINDS)
def test_examples_fit(kind: str) -> None:
    whole = schema(kind)
    for place, one in parts(whole):
        for example in one.get("examples", ()):
            judge = Draft202012Validator({**one, "$defs": whole.get("$defs", {})})
            assert [error.message for error in judge.iter_errors(example)] == [], place


@pytest.mark.parametrize("kind", KINDS)
def test_every_choice_is_named_in_the_words(kind: str) -> None:
    for place, one in parts(schema(kind)):
        for choice in one.get("enum", ()):
            assert str(choice) in one["description"], place


def kind_by_place(path: Path) -> str:
    if path.parent.name == "boards":
        return "board"
    return {"cases": "cases", "demo": "answers"}.get(path.stem, "pack")


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_a_bundled_file_fits_the_schema_that_it_names(path: Path) -> None:
    """Each file by itself, as an editor sees it: also those that are only a part of a pack."""
    first = path.read_text("utf-8").splitlines()[0]
    kind = kind_by_place(path)
    if first.startswith("# yaml-language-server: $schema="):
        named = (path.parent / first.partition("=")[2].strip()).resolve()
        assert named == (schemas_dir() / f"{kind}.schema.json").resolve()
    assert [error.message for error in Draft202012Validator(schema(kind)).iter_errors(read_yaml(path).data)] == []


@pytest.mark.parametrize(
    ("text", "missing"),
    [
        ("id: a\ncauses: {a: {}}\n", ["'format' is a required property"]),
        ("format: 1\nid: a\n", ["'causes' is a required property"]),
        ("include: [b.yaml]\n", ["'format' is a required property", "'id' is a required property"]),
        ("format: 1\nid: a\ninclude: [b.yaml]\n", []),
        ("causes: {a: {}}\n", []),
    ],
)
def test_an_editor_misses_only_what_this_file_must_have(text: str, missing: list[str]) -> None:
    judge = Draft202012Validator(schema("pack"))
    assert [error.message for error in judge.iter_errors(read_yaml("pack.yaml", text).data)] == missing


def test_a_joined_pack_must_have_it_all() -> None:
    findings, _ = check_shape(read_yaml("pack.yaml", "hazards: {}\n"), "pack")
    missing = [f"`{key}` is missing in the file." for key in ("causes", "format", "id")]
    assert sorted(one.message for one in findings) == missing
