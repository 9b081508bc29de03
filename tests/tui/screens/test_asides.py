"""The screens that lie over the bench: why, path, bench state, remarks. No outside source."""

from __future__ import annotations

from nextprobe import Walk
from nextprobe.pack.pack import Pack
from nextprobe.walk.words import odds
from nextprobe_tui.screens.bench_state import BenchStateScreen
from nextprobe_tui.screens.ending import EndingScreen
from nextprobe_tui.screens.path import PathScreen
from nextprobe_tui.screens.remarks import RemarksScreen
from nextprobe_tui.screens.why import WhyScreen
from tests.tui.conftest import Sit
from tests.tui.screens.test_bench import answer_until, walk_to_the_end


async def test_why_gives_the_reason_the_candidates_and_the_causes(sit: Sit) -> None:
    async with sit(size=(80, 40)) as at:
        await answer_until(at, "drive_voltage")
        step = at.bench.step
        assert step is not None
        await at.press("f2")
        assert isinstance(at.app.screen, WhyScreen)
        text = at.text()
        assert " ".join(step.why.split()) in text
        for candidate in step.ranking[1:]:
            assert f"{candidate.title}:" in text
        for cause, chance in at.walk.belief().items():
            assert f"{at.walk.pack.title_of(cause)}: {odds(chance)}" in text
        await at.press("escape")
        assert at.bench.step is step


async def test_a_step_of_the_path_can_be_taken_again(sit: Sit) -> None:
    async with sit() as at:
        await answer_until(at, "drive_voltage")
        await at.type("12.1")
        await at.press("f3")
        assert isinstance(at.app.screen, PathScreen)
        assert "12.1 V" in at.text()
        await at.press("enter")
        assert "Again: Emitter supply voltage" in at.text()
        await at.type("0.1")
        assert "F7 takes it back" in at.text()
        assert [step.told for step in at.walk.path if step.ask == "drive_voltage"][-1].startswith("0.1")
        assert at.walk.belief()["emitter_cracked"] < 0.1


async def test_an_empty_path_is_said(sit: Sit) -> None:
    async with sit() as at:
        await at.press("f3")
        assert "Nothing was told yet" in at.text()
        await at.press("pagedown")
        await at.press("escape")
        assert at.bench.step is not None


async def test_the_bench_can_be_set_as_it_is(sit: Sit) -> None:
    async with sit() as at:
        await at.press("f4")
        assert isinstance(at.app.screen, BenchStateScreen)
        assert "[unplugged]" in at.text()
        await at.press("down", "right")
        assert "[plugged]" in at.text()
        await at.press("home", "enter")
        assert at.walk.bench == {"mains": "plugged", "shade": "fitted"}


async def test_escape_leaves_the_bench_as_it_was(sit: Sit) -> None:
    async with sit() as at:
        await at.press("f4")
        await at.press("down", "enter")
        await at.press("escape")
        assert at.walk.bench["mains"] == "unplugged"


async def test_a_remark_is_noted_once_seen_and_stands_in_the_ending(sit: Sit) -> None:
    async with sit() as at:
        assert "LOOK FOR The outer sleeve of the lead is worn" in at.text()
        await at.press("f5")
        assert isinstance(at.app.screen, RemarksScreen)
        await at.press("enter")
        assert at.walk.remarks == ("lead_worn",)
        await at.press("f5")
        assert "noted" in at.text()
        await at.press("home", "enter")
        await at.type("the knob is loose")
        await walk_to_the_end(at)
        text = at.text()
        assert "REMARKS The outer sleeve of the lead is worn" in text
        assert "the knob is loose" in text


async def test_at_the_ending_one_can_look_note_and_take_back(sit: Sit) -> None:
    async with sit() as at:
        await walk_to_the_end(at)
        for key in ("f1", "f3"):
            await at.press(key)
            assert not isinstance(at.app.screen, EndingScreen)
            await at.press("escape")
            assert isinstance(at.app.screen, EndingScreen), key
        await at.press("f8")
        await at.type("a new knob was fitted too")
        assert isinstance(at.app.screen, EndingScreen)
        assert "a new knob was fitted too" in at.text()
        await at.press("f7")
        assert at.bench.step is not None
        assert at.bench.step.id == "second_hour"
        await at.type("passed")
        await at.pilot.press("f10")
    assert at.app.return_value is not None
    assert at.app.return_value.what == "repaired"


async def test_what_a_pack_writes_in_brackets_is_shown_as_it_is(sit: Sit, lamp: Pack) -> None:
    from dataclasses import replace

    look = replace(lamp.measurements["outside_look"], title="Look [red] it over", how="At [b]all[/b] sides [")
    odd = replace(lamp, measurements={**lamp.measurements, "outside_look": look}, title="Lamp [/]")
    async with sit(Walk(odd)) as at:
        text = at.text()
        assert "Look [red] it over" in text
        assert "At [b]all[/b] sides [" in text
        assert "Lamp [/]" in text
