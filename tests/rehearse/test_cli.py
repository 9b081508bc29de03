"""`nextprobe rehearse` as it is typed: lessons, free mode, results, what is refused. Common practice, no source."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from nextprobe.cli.line_mode import WORDS
from nextprobe.cli.main import main
from nextprobe.cli.rehearse_lines import OWN_WORDS
from nextprobe.record.store import open_store

BULB = ["rehearse", "--lesson", "first-steps", "--technician", "Ada"]
FREE = ["rehearse", "dynamo-light", "--free", "--seed", "1", "--cause", "feed_broken", "--option", "rear_lamp=none"]


@pytest.fixture(autouse=True)
def _store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> object:
    def say(argv: list[str], *lines: str) -> str:
        monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(lines) + ("\n" if lines else "")))
        assert main(argv) == 0
        out, err = capsys.readouterr()
        assert err == ""
        if argv[0] == "rehearse" and "--results" not in argv:
            assert max(len(line) for line in out.splitlines()) <= 79 + 2  # the prompt stands before the answer
        return out

    return say


def run(typed: object, argv: list[str], *lines: str) -> str:
    assert callable(typed)
    return str(typed(argv, *lines))


def job() -> str:
    with open_store() as store:
        return store.jobs()[0].id


def test_without_anything_it_says_what_there_is(typed: object) -> None:
    out = run(typed, ["rehearse"])
    assert "first-steps" in out
    assert "dynamo-light" in out


def test_the_first_lesson_teaches_a_figure_taking_back_why_and_leaving_out(typed: object) -> None:
    out = run(typed, BULB, "", "2.85 V", "undo", "2.85 V", "why", "skip no time", "", "OL", "", "", "")
    for words in ("The meter shows: ", "Taken as: 2.85 V: full", "Taken back", "What it may be:", "That was all"):
        assert words in out
    assert out.count("\n** ") == 5
    assert "== What it was: Bulb burnt out." in out
    assert "Passed: 10 of 10 marks." in out


def test_an_empty_line_does_the_step(typed: object) -> None:
    out = run(typed, ["rehearse", "dynamo-light", "--seed", "9", "--cause", "plug_off"], *[""] * 30)
    assert "== What it was: Plug is off the dynamo." in out
    assert "the engine on the same machine" in out


def test_in_free_mode_the_engine_does_not_say_which_step(typed: object) -> None:
    out = run(typed, FREE, "", "", "why", "find feed", "do feed_ohm", "", "hint", "help")
    asked = out.split("Which step next?")
    assert len(asked) == 3
    assert "yours to judge" in out
    assert "Most likely" not in out
    assert "Feed wire from end to end" in asked[1]
    assert "The engine would do: " in asked[2]
    for word in (*OWN_WORDS, *WORDS):
        assert f"   {word} " in out


def test_typing_words_in_free_mode_searches(typed: object) -> None:
    out = run(
        typed, FREE, "", "", "volts", "submarine", "skip", "do submarine", "tick", "do lamp_volts", "skip no meter"
    )
    assert "lamp_volts: Volts at the lamp's terminals" in out
    assert "Nothing that can be done now is called 'submarine'" in out
    assert "There is no step to leave out yet." in out
    assert "'submarine' cannot be done now." in out
    assert out.count("Which step next?") == 2


def test_a_retake_asks_the_machine_again(typed: object) -> None:
    argv = ["rehearse", "dynamo-light", "--seed", "3", "--cause", "feed_broken", "--slips", "0"]
    out = run(typed, argv, *[""] * 9, "retake outside_look", "retake nothing")
    assert out.count("The machine: sound") == 1
    assert "Say which reading" in out


def test_it_goes_on_with_its_job(typed: object) -> None:
    out = run(typed, BULB, "", "2.85 V")
    assert "The rehearsal stays open" in out
    out = run(typed, ["rehearse", "--job", job()], *["", "bright", "", "OL", "", ""])
    assert "== What it was: Bulb burnt out." in out


def test_jobs_show_keeps_it_sealed_until_the_end(typed: object) -> None:
    run(typed, BULB, "", "2.85 V")
    shown = run(typed, ["jobs", "show", job()]) + run(typed, ["jobs", "show", job(), "--json"])
    assert "A rehearsal on a simulated machine: First steps, seed 9" in shown
    assert "urnt" not in shown
    run(typed, ["rehearse", "--job", job()], *["bright", "OL", "", ""])
    assert "What it was: Bulb burnt out" in run(typed, ["jobs", "show", job()])


def test_results_by_trainee_and_as_data(typed: object) -> None:
    assert "No rehearsals yet" in run(typed, ["rehearse", "--results"])
    run(typed, BULB, "", "2.85 V", "bright", "OL", "", "")
    run(typed, [*BULB[:-1], "Bo"])
    out = run(typed, ["rehearse", "--results"])
    assert out.index("Ada") < out.index("10 of 10") < out.index("Bo") < out.index("open")
    found = json.loads(run(typed, ["rehearse", "--results", "--technician", "ADA", "--json"]))
    assert [(one["technician"], one["result"]["marks"], one["result"]["causes"]) for one in found] == [
        ("Ada", 10, ["bulb_burnt"])
    ]
    assert "No rehearsals of Cy yet" in run(typed, ["rehearse", "--results", "--technician", "Cy"])


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["rehearse", "dynamo-lihgt"], "dynamo-light"),
        (["rehearse", "--lesson", "last-steps"], "first-steps"),
        (["rehearse", "dynamo-light", "--lesson", "first-steps"], "alone"),
        (["rehearse", "dynamo-light", "--cause", "plug_of"], "plug_off"),
        (["rehearse", "dynamo-light", "--cause", "plug_off", "--cause", "feed_broken"], "--two"),
        (["rehearse", "dynamo-light", "--cause", "plug_off", "--two"], "Name two"),
        (["rehearse", "dynamo-light", "--cause", "bulb_burnt", "--option", "lamp_kind=diode"], "bulb_burnt"),
        (["rehearse", "dynamo-light", "--slips", "2"], "from 0 to 1"),
        (["rehearse", "dynamo-light", "--slips", "nan"], "from 0 to 1"),
        (["rehearse", "dynamo-light", "--seed", "-1"], "0 or more"),
        (["rehearse", "dynamo-light", "--seed", "x"], "--seed"),
        (["rehearse", "dynamo-light", "--free", "--typed"], "one mode"),
        (["rehearse", "dynamo-light", "--hints", "2"], "--free"),
        (["rehearse", "--lesson", "first-steps", "--free"], "--seed"),
        (["rehearse", "dynamo-light", "--json"], "--results"),
        (["rehearse", "--job", "nothing"], "no job"),
    ],
)
def test_what_cannot_be_is_refused_in_one_message(
    argv: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(argv) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert words in err
    assert "Traceback" not in err
    assert "internal" not in err


def test_a_rehearsal_is_never_taken_for_work_on_an_owners_machine(
    typed: object, capsys: pytest.CaptureFixture[str]
) -> None:
    run(typed, BULB, "", "2.85 V")
    assert main(["walk", "--job", job()]) == 2
    assert "nextprobe rehearse --job" in capsys.readouterr().err
    run(typed, ["rehearse", "--job", job()], *["bright", "OL", "", ""])
    assert "no owner's machine was touched" in " ".join(run(typed, ["report", job()]).split())


def test_a_first_start_offers_the_first_lesson_and_no_later_one(typed: object) -> None:
    assert "nextprobe rehearse --lesson first-steps" in run(typed, ["walk", "dynamo-light", "--plain"])
    assert "New here?" not in run(typed, ["walk", "dynamo-light", "--plain"])
