"""A whole walk at the bench screen, keyboard only, on an invented lamp. No outside source: the house's own promises."""

from __future__ import annotations

from dataclasses import replace

import pytest
from textual.widgets import Input

from nextprobe import Walk
from nextprobe.errors import StoreError
from nextprobe.pack.pack import Pack
from nextprobe.walk.clock import StepClock
from nextprobe_tui.app import BenchApp
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.ending import EndingScreen
from nextprobe_tui.screens.prompt import Prompt
from nextprobe_tui.widgets.feedback import Feedback
from tests.tui.conftest import Sit, Sitting

#: What is told of a lamp whose driver has failed, as it would be typed: number, figure or word.
DRIVER_DEAD = {
    "outside_look": "1",
    "driver_type": "plain",
    "knocked_over": "no",
    "fuse_look": "The wire is whole",
    "drive_voltage": "120 mV",
    "new_driver": "1",
    "seen": "gone",
    "second_hour": "passed",
}


async def walk_to_the_end(at: Sitting, *, keys: bool = False) -> list[str]:
    """Answer every step by DRIVER_DEAD; the ids in the order in which they were asked."""
    asked: list[str] = []
    while not isinstance(at.app.screen, EndingScreen):
        assert at.bench.step is not None
        asked.append(at.bench.step.id)
        assert len(asked) < 20
        await at.type(DRIVER_DEAD[asked[-1]], keys=keys)
    return asked


async def answer_until(at: Sitting, id_: str) -> None:
    for _ in range(20):
        assert at.bench.step is not None
        if at.bench.step.id == id_:
            return
        await at.type(DRIVER_DEAD[at.bench.step.id])
    raise AssertionError(id_)


async def test_a_whole_walk_at_80_by_24_with_the_keyboard_alone(sit: Sit) -> None:
    async with sit(size=(80, 24)) as at:
        asked = await walk_to_the_end(at, keys=True)
        assert {"drive_voltage", "fuse_look", "new_driver", "seen", "second_hour"} <= set(asked)
        text = at.text()
        assert "REPAIRED" in text
        assert "Driver failed" in text
        assert "HAND BACK" in text
        await at.pilot.press("enter")
    ending = at.app.return_value
    assert ending is not None
    assert (ending.what, ending.cause, ending.proven) == ("repaired", "driver_dead", ("seen", "second_hour"))


async def test_the_screen_tells_what_the_engine_alone_would_be_told(sit: Sit, lamp: Pack) -> None:
    alone = Walk(lamp)
    while alone.ask().kind != "done":
        alone.tell(
            alone.ask().id,
            {"1": "done" if alone.ask().id == "new_driver" else "sound"}.get(
                DRIVER_DEAD[alone.ask().id], DRIVER_DEAD[alone.ask().id]
            ),
        )
    async with sit() as at:
        await walk_to_the_end(at)
        assert [replace(step, took=None) for step in at.walk.path] == list(alone.path)
        assert at.walk.belief() == alone.belief()


async def test_the_step_stands_in_the_order_of_use(sit: Sit) -> None:
    async with sit() as at:
        await answer_until(at, "drive_voltage")
        text = at.text()
        places = [
            text.index(part)
            for part in (
                "MEASURE Emitter supply voltage",
                "CAUTION The rim",
                "1. Unscrew the ring",
                "2. Put the mains plug in",
                "DANGER Mains voltage",
                "DO Black lead",
                "WHERE The two pads",
                "WITH Multimeter",
                "NORMAL 11.4 V",
                "Most likely so far",
                "#1 No voltage",
            )
        ]
        assert places == sorted(places)


async def test_a_figure_is_read_back_while_it_is_typed_and_undone_by_one_key(sit: Sit) -> None:
    async with sit() as at:
        await answer_until(at, "drive_voltage")
        before = at.walk.belief()
        await at.type("0,12", enter=False)
        assert "taken as 0.12 V" in at.text()
        assert at.walk.belief() == before
        await at.press("enter")
        assert "F7 takes it back" in at.text()
        assert at.walk.belief() != before
        await at.press("f7")
        assert "Taken back: Emitter supply voltage" in at.text() or "how does the bench stand" in at.text()
        assert at.walk.belief() == before


async def test_undo_after_moves_asks_how_the_bench_stands(sit: Sit) -> None:
    async with sit() as at:
        await answer_until(at, "drive_voltage")
        await at.type("0.12")
        await at.press("f7")
        assert "how does the bench stand now?" in at.text()
        await at.press("enter")
        assert at.bench.step is not None
        assert at.bench.step.id == "drive_voltage"


async def test_a_bare_number_is_the_figure_where_one_is_wanted(sit: Sit) -> None:
    async with sit() as at:
        await answer_until(at, "drive_voltage")
        await at.type("#3", enter=False)
        assert "taken as As it should be" in at.text()
        await at.press("escape")
        await at.type("3", enter=False)
        assert "taken as 3 V" in at.text()


@pytest.mark.parametrize("wrong", ["banana", "3 A", "##", "1.2.3", "[bold]", "99"])
async def test_a_bad_answer_is_said_in_one_sentence_and_nothing_is_lost(sit: Sit, wrong: str) -> None:
    async with sit() as at:
        if wrong != "99":
            await answer_until(at, "drive_voltage")
        path, belief = at.walk.path, at.walk.belief()
        await at.type(wrong)
        feedback = at.bench.query_one(Feedback)
        assert feedback.mode == "error"
        assert at.bench.query_one("#answer", Input).value == wrong
        assert (at.walk.path, at.walk.belief()) == (path, belief)
        await at.press("x")
        assert at.bench.query_one("#answer", Input).value == "x"


async def test_an_empty_line_says_what_can_be_typed(sit: Sit) -> None:
    async with sit() as at:
        await at.press("enter")
        assert "F6 skips this step" in at.text()
        assert at.walk.path == ()


async def test_that_a_job_was_taken_over_is_said_below_the_step_until_it_is_answered(lamp: Pack) -> None:
    """Nothing of the step lies under it, at the smallest size."""
    word = "Taken over from bench 2, which held it since 2026-03-09 09:14 UTC and is gone."
    app = BenchApp(lambda: BenchScreen(Walk(lamp), "2026-03-09-dk4t", word=word))
    async with app.run_test(size=(80, 24)) as pilot:
        at = Sitting(app, pilot, Walk(lamp))
        await at.settle()
        assert word in at.text()
        step = at.bench.step
        assert step is not None
        assert all(choice.say in at.text() for choice in step.choices)
        await at.type("1")
        assert word not in at.text()


async def test_a_skip_takes_a_reason_by_number_or_by_word(sit: Sit) -> None:
    async with sit() as at:
        await answer_until(at, "drive_voltage")
        await at.press("f6")
        assert isinstance(at.app.screen, Prompt)
        await at.type("1")
        assert (at.walk.path[-1].ask, at.walk.path[-1].skipped) == ("drive_voltage", True)
        assert "cannot get at it" in at.walk.path[-1].say + at.walk.path[-1].told
        assert "Skipped: Emitter supply voltage" in at.text()
        step = at.bench.step
        assert step is not None
        await at.type("skip too tired for that")
        assert at.walk.path[-1].ask == step.id
        assert "too tired for that" in at.walk.path[-1].say + at.walk.path[-1].told


async def test_escape_from_the_reason_skips_nothing(sit: Sit) -> None:
    async with sit() as at:
        await at.press("f6")
        await at.press("escape")
        assert at.bench.step is not None
        assert at.walk.path == ()


async def test_leaving_keeps_the_job_open(sit: Sit) -> None:
    async with sit() as at:
        await at.type("1")
        await at.pilot.press("f10")
    assert at.app.return_value is None
    assert at.walk.ending is None
    assert len(at.walk.path) == 1


async def test_closing_ends_the_job_with_its_reason(sit: Sit) -> None:
    async with sit() as at:
        await at.press("ctrl+t")
        await at.type("the owner fetched it")
        assert isinstance(at.app.screen, EndingScreen)
        assert "the owner fetched it" in at.text()
        await at.pilot.press("f10")
    assert at.app.return_value is not None
    assert at.app.return_value.what == "left"


async def test_a_record_that_cannot_be_written_is_said_and_the_line_stays(sit: Sit, lamp: Pack) -> None:
    def sink(kind: str, data: dict[str, object]) -> None:
        if kind == "told":
            raise StoreError("The disk is full.", "Make room, then press Enter again.")

    async with sit(Walk(lamp, sink=sink)) as at:
        await at.type("1")
        assert "The disk is full. Make room" in at.text()
        assert at.bench.query_one("#answer", Input).value == "1"
        assert at.walk.path == ()


async def test_a_stop_is_shown_before_anything_else(sit: Sit) -> None:
    async with sit() as at:
        await at.type("2")
        assert isinstance(at.app.screen, EndingScreen)
        text = at.text()
        assert text.startswith("STOPPED")
        assert "Do not power this lamp again" in text


async def test_the_minutes_so_far_stand_at_the_top(sit: Sit) -> None:
    async with sit() as at:
        assert "no time so far" in at.lines()[0]
        await at.type("1")
        assert "30 s so far" in at.lines()[0]


async def test_a_step_that_is_longer_than_the_screen_scrolls_and_says_so(sit: Sit, no_picture: Pack) -> None:
    async with sit(Walk(no_picture), (80, 24)) as at:
        assert "more of this step below: PgDn" in at.text()
        first = at.lines()
        for _ in range(6):
            await at.press("pagedown")
        assert "more of this step below" not in at.text()
        assert at.lines() != first
        assert at.lines()[-3].lstrip(" ▌").startswith("Type 1")
        await at.press("pageup")
        assert "more of this step below" in at.text()


async def test_words_serve_where_a_terminal_keeps_the_keys(sit: Sit) -> None:
    async with sit() as at:
        for word, shown in (
            ("why", "Why this step"),
            ("path", "The path so far"),
            ("bench", "The bench as it really is"),
        ):
            await at.type(word)
            assert shown in at.text()
            await at.press("escape")
        await at.type("note smells of solder")
        await at.type("light")
        assert at.app.theme == "paper"
        await at.type("close enough")
        assert "smells of solder" in at.text()


async def test_the_machine_may_arrive_otherwise_than_the_pack_thinks(sit: Sit) -> None:
    async with sit() as at:
        await at.press("f4")
        await at.press("down", "down", "right")
        await at.press("home", "enter")
        assert at.walk.bench["shade"] == "removed"


async def test_enter_on_the_empty_line_ticks_off_the_steps_of_a_repair(sit: Sit) -> None:
    async with sit() as at:
        await answer_until(at, "new_driver")
        assert "Enter ticks off step 1" in at.text()
        await at.press("enter")
        assert "✓ Note how the leads are laid." in at.text()
        assert "Enter ticks off step 2" in at.text()
        await at.type("tick 3")
        assert "✓ Fit the new one" in at.text()
        await at.type("tick 3")
        assert "✓ Fit the new one" not in at.text()
        assert "Not done after all" in at.text()
        await at.press("enter", "enter")
        assert "Type 1" in at.text()
        await at.type("tick 9")
        assert "There is no step 9" in at.text()


async def test_the_clock_of_a_step_runs_is_put_right_and_recorded(sit: Sit) -> None:
    async with sit() as at:
        now = [0.0]
        at.bench.clock = StepClock(lambda: now[0])
        now[0] = 187.0
        await at.pilot.pause(1.1)
        assert "3:07" in at.lines()[0]
        await at.type("took 2,5")
        assert "This step counts 2.5 minutes so far." in at.text()
        now[0] += 30.0
        await at.type("1")
        assert at.walk.path[0].took == 3.0
        assert "0:0" in at.lines()[0]
