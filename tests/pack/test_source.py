"""Reading YAML with positions: values by the core schema of YAML 1.2.2 (chapter 10.3), limits, findings."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from nextprobe.pack.compose import compose_pack, content_hash
from nextprobe.pack.limits import MAX_BYTES, MAX_DEPTH, MAX_NODES
from nextprobe.pack.marks import Mark, Source, shown_path
from nextprobe.pack.source import read_yaml


def read(text: str) -> Source:
    return read_yaml("pack.yaml", text, shown="pack.yaml")


# YAML 1.2.2, 10.3.2 (tag resolution of the core schema), and example 10.9 there.
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("~", None),
        ("null", None),
        ("Null", None),
        ("NULL", None),
        ("", None),
        ("true", True),
        ("True", True),
        ("TRUE", True),
        ("false", False),
        ("FALSE", False),
        ("0", 0),
        ("-19", -19),
        ("+3", 3),
        ("0.", 0.0),
        ("-0.0", 0.0),
        (".5", 0.5),
        ("+12e03", 12000.0),
        ("-2E+05", -2e5),
        ("1.2 V", "1.2 V"),
        ("1V2", "1V2"),
        ("4R7", "4R7"),
        ("1.0.0", "1.0.0"),
        ("nul", "nul"),
        ("truE", "truE"),
        ("'12'", "12"),
        ('"off"', "off"),
        ("-", None),
    ],
)
def test_scalars(text: str, value: Any) -> None:
    if text == "-":  # a list with one empty item
        assert read("a:\n  -").data == {"a": [None]}
        return
    source = read(f"a: {text}")
    assert source.findings == []
    assert source.data == {"a": value}
    assert type(source.data["a"]) is type(value)


@pytest.mark.parametrize("word", ["on", "Off", "YES", "no", "y", "N"])
def test_switch_words_are_errors_as_key_and_value(word: str) -> None:
    assert [one.code for one in read(f"a: {word}").findings] == ["NP111"]
    assert [one.code for one in read(f"{word}: a").findings] == ["NP111"]
    assert read(f'a: "{word}"').findings == []


@pytest.mark.parametrize(
    "word", ["1_000", "017", "0x1F", "0o17", "0b11", "1:30", "190:20:30", ".inf", "-.INF", ".nan", "1e999"]
)
def test_numbers_that_tools_read_differently(word: str) -> None:
    assert [one.code for one in read(f"a: {word}").findings] == ["NP112"]


def test_places_count_from_one() -> None:
    source = read("a:\n  b: [1, {c: 2}]\n")
    assert source.marks["a", "b", 1, "c"] == Mark("pack.yaml", 2, 14)
    assert source.key_marks["a", "b", 1, "c"] == Mark("pack.yaml", 2, 11)
    assert source.mark(("a", "b", 9, "z")) == source.marks["a", "b"]
    assert shown_path(("a", "b", 1, "c")) == "a.b[1].c"


def test_words_in_brackets_may_hold_question_marks_and_colons() -> None:
    # YAML 1.2.2, 7.3.3: `?` and `:` are allowed inside plain words where no space follows.
    source = read("a: {ask: How?, at: b:c, list: [x?, y::z]}")
    assert source.findings == []
    assert source.data == {"a": {"ask": "How?", "at": "b:c", "list": ["x?", "y::z"]}}


def test_a_bare_switch_is_said_once_a_word_with_its_lines() -> None:
    source = read("values: [on, off]\nstart: off\n" + "".join(f"n{number}: on\n" for number in range(14)))
    assert [(one.code, one.line, one.column) for one in source.findings] == [("NP111", 1, 10), ("NP111", 1, 14)]
    on, off = (one.help for one in source.findings)
    assert off.endswith(" So too in line 2.")
    assert on.endswith(" So too in lines 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14 and 2 more.")
    assert source.is_spoiled(("n13",))


def test_the_faults_of_a_file_are_found_together() -> None:
    source = read("a: yes\nb: 0x10\na: 1\nc: &x 1\nd: *x\n")
    assert [(one.code, one.line) for one in source.findings] == [
        ("NP111", 1),
        ("NP112", 2),
        ("NP110", 3),
        ("NP107", 4),
        ("NP107", 5),
    ]


def test_an_alias_bomb_is_never_expanded() -> None:
    lines = ["a0: &a0 [x, x]"] + [f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}]" for n in range(1, 60)]
    source = read("\n".join(lines))
    assert {one.code for one in source.findings} == {"NP107"}
    assert len(source.marks) < 400


@pytest.mark.parametrize(
    "text",
    ["[" * 100_000, "a:\n" + "".join("  " * n + "- a:\n" for n in range(1, 90)), "{a: " * 5000],
    ids=["brackets", "blocks", "braces"],
)
def test_nesting_is_bounded(text: str) -> None:
    source = read(text)
    assert [one.code for one in source.findings] == ["NP102"]
    assert source.data is None
    assert max(len(path) for path in source.marks) <= MAX_DEPTH


def test_number_of_values_is_bounded() -> None:
    source = read("a: [" + "1," * (MAX_NODES + 5) + "1]")
    assert [one.code for one in source.findings] == ["NP102"]


def test_size_is_bounded(tmp_path: Path) -> None:
    path = tmp_path / "large.yaml"
    path.write_bytes(b"a: '" + b"x" * MAX_BYTES + b"'")
    assert [one.code for one in read_yaml(path).findings] == ["NP102"]


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    assert [one.code for one in read_yaml(tmp_path / "nowhere.yaml").findings] == ["NP101"]
    assert [one.code for one in read_yaml(tmp_path).findings] == ["NP101"]


def test_blocks_of_all_files_are_joined(tmp_path: Path) -> None:
    (tmp_path / "common").mkdir()
    (tmp_path / "mine").mkdir()
    (tmp_path / "common" / "bench.yaml").write_text(
        "bench:\n  conditions:\n    supply: {values: [removed, powered], start: removed}\nskills: {a: {title: A}}\n"
    )
    pack = tmp_path / "mine" / "pack.yaml"
    pack.write_text(
        "format: 1\ninclude: [../common/bench.yaml]\nskills: {b: {title: B}}\n"
        "bench:\n  conditions:\n    supply: {values: [powered, standby], start: powered}\n"
    )
    source = compose_pack(pack)
    assert source.findings == []
    assert list(source.data["skills"]) == ["a", "b"]
    # The pack's own start wins, values are united in order.
    assert source.data["bench"]["conditions"]["supply"] == {
        "values": ["removed", "powered", "standby"],
        "start": "powered",
    }
    assert source.marks["bench", "conditions", "supply", "values", 2].file.endswith("pack.yaml")
    assert source.marks["skills", "a", "title"].file.endswith("bench.yaml")
    assert len(source.files) == 2
    assert content_hash(source.files) != content_hash(dict(reversed(source.files.items())))


def test_two_shared_starts_are_a_finding(tmp_path: Path) -> None:
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "b.yaml").write_text("bench: {conditions: {supply: {values: [a, b], start: a}}}\n")
    (tmp_path / "mine").mkdir()
    pack = tmp_path / "mine" / "pack.yaml"
    pack.write_text("format: 1\ninclude: [../one/b.yaml, ../two/b.yaml]\n")
    assert [one.code for one in compose_pack(pack).findings] == ["NP118"]
