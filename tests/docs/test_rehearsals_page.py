"""The page on rehearsals names every option, word and key, and its example holds. Common practice, no source."""

from __future__ import annotations

import argparse
import json
import re
from pathlib import Path

from nextprobe.cli.rehearse import configure
from nextprobe.cli.rehearse_lines import OWN_WORDS
from nextprobe.rehearse.lesson import load_lesson
from nextprobe.resources import bundled_lessons, schemas_dir

PAGE = (Path(__file__).parent.parent.parent / "docs" / "rehearsals.md").read_text("utf-8")


def test_every_option_is_on_it() -> None:
    parser = argparse.ArgumentParser(add_help=False)
    configure(parser)
    options = [name for action in parser._actions for name in action.option_strings]
    assert [name for name in options if f"`{name}" not in PAGE] == []


def test_every_word_is_on_it() -> None:
    assert [word for word in OWN_WORDS if f"- `{word}`" not in PAGE] == []


def test_every_key_of_a_lesson_and_every_bundled_one_is_on_it() -> None:
    schema = json.loads((schemas_dir() / "lesson.schema.json").read_text("utf-8"))
    named = set(re.findall(r"^(\w+):", PAGE, re.MULTILINE)) | set(re.findall(r"`(\w+)", PAGE))
    assert set(schema["properties"]) - named == set()
    assert [id_ for id_ in bundled_lessons() if f"`{id_}`" not in PAGE] == []


def test_the_example_is_a_lesson(tmp_path: Path) -> None:
    text = "\n".join(re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL))
    path = tmp_path / "dark-ride.yaml"
    path.write_text(text, "utf-8")
    lesson = load_lesson(path)
    assert (lesson.mode, lesson.hints, len(lesson.tasks)) == ("free", 2, 2)
