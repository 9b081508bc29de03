"""The registry of actions. No outside source: these are promises of this house."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.screen import Screen

from nextprobe import Walk
from nextprobe.pack.pack import Pack
from nextprobe_tui.actions import (
    ACTS,
    ASIDE,
    BENCH,
    ENDING,
    EVERYWHERE,
    FINDINGS,
    FINISHED,
    REHEARSAL,
    REVIEW,
    START,
    act_of_word,
    acts_at,
    bindings,
)
from nextprobe_tui.app import BenchApp
from nextprobe_tui.keys import Keys, read_keys
from nextprobe_tui.palette import acts_of
from nextprobe_tui.screens.aside import Aside
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.ending import EndingScreen
from nextprobe_tui.screens.finished import FinishedScreen
from nextprobe_tui.screens.path import PathScreen
from nextprobe_tui.screens.prompt import Prompt
from nextprobe_tui.screens.rehearsal import RehearsalScreen
from nextprobe_tui.screens.rehearsed import RehearsedScreen
from nextprobe_tui.screens.review import ReviewScreen
from nextprobe_tui.screens.start import StartScreen
from nextprobe_tui.screens.why import WhyScreen
from tests.tui.conftest import Sit, Sitting


def test_ids_keys_and_words_are_unique() -> None:
    for places in ({BENCH, REHEARSAL}, {ENDING}, {ASIDE, FINISHED}, {ASIDE, REVIEW}, {START}, {ASIDE, FINDINGS}):
        keys = [key for act in ACTS if places & set(act.places) for key in act.key.split(",")]
        assert len(set(keys)) == len(keys), places
    assert len({act.id for act in ACTS}) == len(ACTS)
    assert len({act.word for act in ACTS}) == len(ACTS)


def test_no_key_is_one_that_types() -> None:
    for act in ACTS:
        for key in act.key.split(","):
            assert len(key) > 1, act
            assert key not in {"enter", "space", "tab", "backspace", "delete", "left", "right", "home", "end"}, act


def test_no_key_is_one_that_the_answer_line_edits_with() -> None:
    from textual.widgets import Input

    editing = {key for binding in Input.BINDINGS for key in getattr(binding, "key", "").split(",")}
    assert editing & {key for act in ACTS for key in act.key.split(",")} == set()


@pytest.mark.parametrize(
    ("place", "screen"),
    [
        (BENCH, BenchScreen),
        (ENDING, EndingScreen),
        (ASIDE, Aside),
        (ASIDE, Prompt),
        (START, StartScreen),
        (REHEARSAL, RehearsalScreen),
        (BENCH, RehearsalScreen),
        (FINISHED, FinishedScreen),
        (FINISHED, RehearsedScreen),
        (REVIEW, ReviewScreen),
    ],
)
def test_every_action_of_a_place_is_there(place: str, screen: type[Screen[object]]) -> None:
    for act in acts_at(place):
        owner: type = BenchApp if act.id in EVERYWHERE else screen
        assert callable(getattr(owner, f"action_act_{act.id}", None)), (place, act.id)


def test_the_keys_of_a_place_are_those_of_the_registry() -> None:
    assert [getattr(binding, "key", "") for binding in bindings(BENCH)] == [act.key for act in acts_at(BENCH)]


def test_a_word_is_found_with_what_follows_it() -> None:
    found = act_of_word("  Skip no meter here ", BENCH)
    assert found is not None
    assert (found[0].id, found[1]) == ("skip", "no meter here")
    assert act_of_word("skipping", BENCH) is None
    assert act_of_word("why", ASIDE) is None


async def test_the_help_lists_every_action(sit: Sit) -> None:
    async with sit(size=(100, 70)) as at:
        await at.press("f1")
        text = at.text()
        for act in ACTS:
            assert f"{act.key_shown} {act.word} {act.help}" in text


async def test_the_key_line_names_what_is_shown(sit: Sit) -> None:
    async with sit() as at:
        last = at.lines()[-1]
        for act in acts_at(BENCH):
            if act.shown:
                assert f"{act.key_shown} {act.label}" in last


def test_keys_of_ones_own_take_the_place_of_the_usual_ones(tmp_path: Path) -> None:
    file = tmp_path / "keys.yaml"
    file.write_text("undo: f12\nwhy: Ctrl+Y\n")
    keys = read_keys(file)
    assert keys.problems == ()
    assert (keys.shown("undo"), keys.shown("why"), keys.shown("path")) == ("F12", "Ctrl+Y", "F3")
    assert keys.keymap()["bench.undo"] == "f12"
    assert keys.keymap()["ending.undo"] == "f12"


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("undo: f12\nundoo: f11\n", 2, "Did you mean 'undo'?"),
        ("undo: x\n", 1, "types, picks or edits"),
        ("undo: enter\n", 1, "types, picks or edits"),
        ("undo: ctrl+k\n", 1, "types, picks or edits"),
        ("undo: 7\n", 1, "types, picks or edits"),
        ("\nundo: f2\n", 2, "the key of 'why' already"),
        ("why: f12\nundo: f12\n", 2, "the key of 'why' already"),
    ],
)
def test_a_key_that_cannot_be_used_is_said_with_its_line(tmp_path: Path, text: str, line: int, said: str) -> None:
    file = tmp_path / "keys.yaml"
    file.write_text(text)
    keys = read_keys(file)
    (problem,) = keys.problems
    assert f"keys.yaml, line {line}: " in problem
    assert said in problem


def test_a_file_that_is_no_yaml_is_said_and_the_usual_keys_stay(tmp_path: Path) -> None:
    file = tmp_path / "keys.yaml"
    file.write_text("undo: [f12\n")
    keys = read_keys(file)
    assert keys.problems
    assert keys.own == {}
    assert read_keys(tmp_path / "none.yaml").problems == ()


async def test_the_screen_obeys_and_shows_ones_own_keys(lamp: Pack) -> None:
    walk = Walk(lamp)
    app = BenchApp(lambda: BenchScreen(walk), Keys({"why": "f12"}, ("keys.yaml, line 1: no such thing.",)))
    async with app.run_test(size=(80, 24)) as pilot:
        at = Sitting(app, pilot, walk)
        await at.settle()
        assert "F12" in at.lines()[-1].upper() or "f12" in at.lines()[-1]
        await at.press("f2")
        assert isinstance(app.screen, BenchScreen)
        await at.press("f12")
        assert isinstance(app.screen, WhyScreen)


async def test_the_palette_offers_what_can_be_done_here_and_does_it(lamp: Pack) -> None:
    walk = Walk(lamp)
    app = BenchApp(lambda: BenchScreen(walk))
    async with app.run_test(size=(80, 24)) as pilot:
        at = Sitting(app, pilot, walk)
        await at.settle()
        bench = app.screen
        assert {act.id for act, _ in acts_of(bench)} == {act.id for act in acts_at(BENCH)}
        await pilot.press("ctrl+p")
        await pilot.pause(0.1)
        await pilot.press(*"else")
        for _ in range(100):
            await pilot.pause(0.02)
            if "why (F2)" in at.text():
                break
        assert "why (F2)" in at.text()
        await pilot.press("escape", "escape")
        await pilot.pause(0.1)
        assert app.screen is bench
        await pilot.press("ctrl+p")
        await pilot.pause(0.1)
        await pilot.press(*"path")
        await pilot.pause(0.5)
        await pilot.press("enter")
        for _ in range(100):
            await pilot.pause(0.02)
            if isinstance(app.screen, PathScreen):
                break
        assert isinstance(app.screen, PathScreen)
