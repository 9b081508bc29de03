"""Lessons: the bundled ones hold, and a wrong one is refused at its line. Common practice, no source."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from nextprobe.errors import PackError, UsageError
from nextprobe.pack.cache import validate_source
from nextprobe.pack.load import load_pack
from nextprobe.pack.source import read_yaml
from nextprobe.rehearse.lesson import MODES, Goal, load_lesson
from nextprobe.rehearse.make import Hidden, make_machine
from nextprobe.resources import bundled_lessons, find_lesson, lessons_dir, schemas_dir

SOUND = "format: 1\nid: mine\ntitle: Mine\npack: dynamo-light\n"


@pytest.mark.parametrize("id_", bundled_lessons())
def test_a_bundled_lesson_is_sound_and_has_its_machines(id_: str) -> None:
    assert [str(one) for one in validate_source(find_lesson(id_)).findings] == []
    lesson = load_lesson(id_)
    assert lesson.id == id_
    pack = load_pack(lesson.pack, lesson.board or None)
    symptom = lesson.symptom or next(iter(pack.symptoms))
    for seed in lesson.seeds:
        machine = make_machine(
            pack, symptom, {**pack.known_options, **lesson.options}, Hidden(seed, lesson.causes, lesson.two)
        )
        assert machine.shows
        assert not lesson.causes or set(machine.fault.causes) <= set(lesson.causes)


@pytest.mark.parametrize("id_", bundled_lessons())
def test_a_bundled_lesson_names_its_schema(id_: str) -> None:
    path = find_lesson(id_)
    first = path.read_text("utf-8").splitlines()[0]
    assert (path.parent / first.partition("$schema=")[2]).resolve() == (schemas_dir() / "lesson.schema.json").resolve()
    judge = Draft202012Validator(json.loads((schemas_dir() / "lesson.schema.json").read_text("utf-8")))
    assert [error.message for error in judge.iter_errors(read_yaml(path).data)] == []


def test_there_are_three_lessons_and_the_first_steps_are_among_them() -> None:
    assert len(bundled_lessons()) == 3
    assert [task.do for task in load_lesson("first-steps").tasks] == ["answer", "undo", "why", "skip"]


def test_the_lessons_own_pack_is_sound() -> None:
    assert [str(one) for one in validate_source(lessons_dir() / "torch" / "pack.yaml").findings] == []


def test_the_schema_knows_the_modes() -> None:
    schema = json.loads((schemas_dir() / "lesson.schema.json").read_text("utf-8"))
    assert tuple(schema["properties"]["mode"]["enum"]) == MODES
    Draft202012Validator.check_schema(schema)
    for name, one in schema["properties"].items():
        assert one["title"], name
        assert one["description"], name


@pytest.mark.parametrize(
    ("more", "code", "line", "words"),
    [
        ("causes: [feed_brokn]\n", "NP301", 5, "feed_broken"),
        ("symptom: front_drak\n", "NP301", 5, "front_dark"),
        ("options: {dynamo_kind: hubb}\n", "NP305", 5, "hub"),
        ("board: tansy-13\n", "NP301", 5, "tansy-12"),
        ("mode: fre\n", "NP204", 5, "free"),
        ("goal: {ending: repaird}\n", "NP204", 5, "repaired"),
        ("hint: 3\n", "NP201", 5, "hints"),
        ("slips: 2\n", "NP205", 5, "1"),
        ("two: true\ncauses: [plug_off]\n", "NP207", 6, "Name two"),
        ("seeds: []\n", "NP207", 5, ""),
    ],
)
def test_a_wrong_lesson_is_refused_at_its_line(tmp_path: Path, more: str, code: str, line: int, words: str) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(SOUND + more, "utf-8")
    with pytest.raises(PackError) as refused:
        load_lesson(path)
    found = [one for one in refused.value.findings if one.code == code]
    assert [one.line for one in found] == [line]
    assert words in f"{found[0].message} {found[0].help}"


def test_a_pack_beside_the_lesson_is_found_and_a_missing_one_is_said(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(SOUND.replace("dynamo-light", "torch"), "utf-8")
    with pytest.raises(PackError, match="torch"):
        load_lesson(path)
    (tmp_path / "torch").mkdir()
    (tmp_path / "torch" / "pack.yaml").write_bytes((lessons_dir() / "torch" / "pack.yaml").read_bytes())
    assert load_pack(load_lesson(path).pack).id == "torch"


def test_what_a_lesson_leaves_out(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(SOUND, "utf-8")
    lesson = load_lesson(path)
    assert (lesson.mode, lesson.hints, lesson.goal, lesson.causes) == ("guided", None, Goal(), ())


def test_an_unknown_lesson_is_refused_with_those_there_are() -> None:
    with pytest.raises(UsageError, match="first-steps"):
        load_lesson("last-steps")
