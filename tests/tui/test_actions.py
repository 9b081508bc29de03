"""The registry of actions. No outside source: these are promises of this house."""

from __future__ import annotations

import pytest
from textual.screen import Screen

from nextprobe_tui.actions import ACTS, ASIDE, BENCH, ENDING, EVERYWHERE, START, act_of_word, acts_at, bindings
from nextprobe_tui.app import BenchApp
from nextprobe_tui.screens.aside import Aside
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.ending import EndingScreen
from nextprobe_tui.screens.prompt import Prompt
from nextprobe_tui.screens.start import StartScreen
from tests.tui.conftest import Sit


def test_ids_keys_and_words_are_unique() -> None:
    keys = [key for act in ACTS for key in act.key.split(",")]
    assert len(set(keys)) == len(keys)
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
    [(BENCH, BenchScreen), (ENDING, EndingScreen), (ASIDE, Aside), (ASIDE, Prompt), (START, StartScreen)],
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
