"""Words from a person as ids and YAML text. Source: the rules of the pack format; YAML 1.2.2, section 5.7 (escapes)."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from nextprobe.write.words import GIVEN, TAKEN, figure, id_of, quoted, title_of


@given(st.lists(st.text(max_size=400), max_size=6))
def test_ids_are_ids_and_differ(titles: list[str]) -> None:
    taken: set[str] = set()
    ids = [id_of(title_of(title), "cause", taken) for title in titles]
    assert len(set(ids)) == len(ids)
    for one in ids:
        assert re.fullmatch(r"[a-z][a-z0-9_]*", one)
        assert one not in TAKEN | GIVEN


@pytest.mark.parametrize("word", ["yes", "No", "ON", "off", "true", "null", "seen", "unlisted", "cause", "first_look"])
def test_what_yaml_or_the_format_takes_is_no_id(word: str) -> None:
    assert id_of(word, "cause", set()) == f"{word.lower()}_2"


@pytest.mark.parametrize(
    ("title", "id_"),
    [
        ("Float stuck", "float_stuck"),
        ("Öl fehlt", "ol_fehlt"),
        ("日本語", "cause_1"),
        ("24 V missing", "cause_24_v_missing"),
        ("The kiln climbs too slowly or stays cold", "kiln_climbs_too_slowly"),
        ("Look at the elements with the lid open", "look_at_elements_with_lid_open"),
        ("Wire at the element's terminal burnt", "wire_at_elements_terminal"),
        ("the", "the"),
        ("x" * 40, "x" * 30),
    ],
)
def test_ids_are_readable(title: str, id_: str) -> None:
    assert id_of(title, "cause", set()) == id_


@given(st.text(max_size=300))
def test_a_title_comes_back_from_yaml_as_it_was(text: str) -> None:
    title = title_of(text)
    assert YAML(typ="safe").load(f"a: {quoted(title)}\n") == {"a": title}


@pytest.mark.parametrize(("value", "text"), [(2.0, "2"), (1.5, "1.5"), (0.0, "0"), (1e9, "1000000000"), (0.25, "0.25")])
def test_a_figure_has_no_exponent(value: float, text: str) -> None:
    assert figure(value) == text
