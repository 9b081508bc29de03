"""The trainer's page names only what there is. No outside source: the house's own promise."""

from __future__ import annotations

import argparse
import re
from importlib import import_module
from pathlib import Path

from nextprobe.cli.main import COMMANDS
from nextprobe.resources import bundled_lessons
from nextprobe_tui.actions import ACTS

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs" / "trainer.md").read_text(encoding="utf-8")


def test_every_command_and_option_on_the_page_is_there() -> None:
    lines = re.findall(r"nextprobe ([a-z]+)((?: [^\n`|]*)?)", PAGE)
    assert len(lines) > 8
    for command, rest in lines:
        parser = argparse.ArgumentParser()
        import_module(COMMANDS[command][0]).configure(parser)
        for option in re.findall(r"(--[a-z-]+)", rest):
            assert option in parser.format_help(), (command, option)


def test_its_lessons_pages_keys_and_words_are_there() -> None:
    assert set(re.findall(r"--lesson ([a-z-]+)", PAGE)) <= set(bundled_lessons())
    for page in re.findall(r"\]\(([a-z]+\.md)\)", PAGE):
        assert (ROOT / "docs" / page).is_file(), page
    for key, word in re.findall(r"(F\d+|Ctrl\+[A-Z])\s\(`([a-z]+)`\)", PAGE):
        assert any((act.key_shown, act.word) == (key, word) for act in ACTS), (key, word)
