"""The schemas are sound, say what every key means, and every example of the format fits."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from nextprobe.pack.context import CHECK_OUTCOMES
from nextprobe.pack.schema import check_shape, pruned
from nextprobe.pack.source import read_yaml
from nextprobe.quantity import QUANTITIES
from nextprobe.resources import schemas_dir

KINDS = ["pack", "board", "cases", "shop", "answers", "lesson"]


def schema(kind: str) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads((schemas_dir() / f"{kind}.schema.json").read_text("utf-8"))
    return loaded


def objects(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
        for inner in value.values():
            yield from objects(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from objects(inner)


@pytest.mark.parametrize("kind", KINDS)
def test_a_schema_is_a_schema(kind: str) -> None:
    Draft202012Validator.check_schema(schema(kind))


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_has_a_title_and_a_description(kind: str) -> None:
    for one in objects(schema(kind)):
        properties = one.get("properties")
        if isinstance(properties, dict) and "title" not in properties.get("type", {}):
            for key, inner in properties.items():
                assert inner.get("title"), key
                assert inner.get("description"), key


@pytest.mark.parametrize("kind", ["pack", "board", "shop", "lesson"])
def test_unknown_keys_are_errors_everywhere(kind: str) -> None:
    for one in objects(schema(kind)):
        if "properties" in one and one.get("type") == "object":
            assert one.get("additionalProperties") is not None, one["title"]


def test_the_quantities_of_the_schema_are_those_of_the_engine() -> None:
    listed = schema("pack")["$defs"]["measurement"]["properties"]["quantity"]["enum"]
    assert listed == list(QUANTITIES)
    assert CHECK_OUTCOMES == ("passed", "failed")


def test_the_loose_shapes_of_the_format_fit() -> None:
    text = """
format: 1
id: loose
causes: {a: {}}
measurements:
  m:
    instrument: {all: [x, [y, z]]}
    after: [n, {o: [p, q]}]
    only_if: [{c: d}, {c: [e, f]}]
    wait: 15 min
    outcomes: {p: {say: P, bars: {s: [t, u]}, until: {n: o}}, q: {range: {by: c, d: below 1 V}}, r: {}}
    same_as: n
    reads:
      - {when: {all: [a, {any: [b, c]}, {not: d}]}, gives: {p: 1}}
      - {otherwise: {q: 1}}
  n: {needs: {s: [t, u]}, after: m, instrument: [x, {all: [y, z]}]}
repairs: {fix: {after: {m: p}, needs: named, skill: [k, l]}}
bench: {hand_back: {}}
"""
    assert check_shape(read_yaml("pack.yaml", text), "pack")[0] == []


def test_a_misspelt_key_is_one_finding() -> None:
    text = "format: 1\nid: a\ncauses: {a: {}}\nhazards: {h: {signl: NOTICE, say: Mind it.}}\n"
    findings, data = check_shape(read_yaml("pack.yaml", text), "pack")
    assert [(one.code, one.line, one.column) for one in findings] == [("NP201", 4, 15)]
    assert data["hazards"]["h"] == {"say": "Mind it."}


def test_pruning_keeps_the_places_of_the_rest() -> None:
    data = {"a": [1, {"b": 2, "c": 3}, 4], "d": {"e": 5}}
    assert pruned(data, [("a", 0), ("a", 1, "b"), ("d", "e")]) == {"a": [None, {"c": 3}, 4], "d": {}}
    assert data["d"] == {"e": 5}
    assert pruned(data, []) is data
