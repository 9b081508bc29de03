"""Line mode: every word, numbers and figures as typed, leaving and going on, a killed process."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from nextprobe import Walk, load_pack
from nextprobe.cli.line_mode import WORDS, LineMode
from nextprobe.cli.main import main
from nextprobe.job import start_job
from nextprobe.pack.pack import Pack
from nextprobe.record.store import open_store
from nextprobe.walk import Ending


@pytest.fixture(scope="module")
def pack() -> Pack:
    return load_pack("no-picture", "brindle-14")


class Sitting:
    """A sitting with the lines that will be typed."""

    def __init__(self, walk: Walk, *typed: str) -> None:
        self.walk = walk
        self.out: list[str] = []
        self._typed: Iterator[str] = iter(typed)
        self.ending: Ending | None = LineMode(walk, self._read, self.out.append).run()

    def _read(self, prompt: str) -> str:
        try:
            line = next(self._typed)
        except StopIteration:
            raise EOFError from None
        self.out.append(prompt + line)
        return line

    @property
    def text(self) -> str:
        return "\n".join(self.out)


def test_an_ask_shows_moves_cautions_act_normal_and_answers_in_that_order(pack: Pack) -> None:
    text = Sitting(Walk(pack)).text
    places = [text.index(word) for word in ("First:", "! DANGER", "Before any power", "Normal:", " 1  Nothing to see")]
    assert places == sorted(places)
    assert "\x1b" not in text
    assert max(len(line) for line in text.splitlines()) <= 79


def test_a_number_picks_and_is_read_back(pack: Pack) -> None:
    sitting = Sitting(Walk(pack), "1")
    assert sitting.walk.path[0].told == "clean"
    assert "Taken as: Nothing to see" in sitting.text
    assert sitting.ending is None


@pytest.mark.parametrize(
    ("typed", "outcome"),
    [
        ("1.19", "normal"),
        ("1.19V", "normal"),
        ("1190 mV", "normal"),
        ("1V2", "normal"),
        ("0,6", "low"),
        ("0.02 v", "absent"),
        ("absent", "absent"),
        ("abs", "absent"),
    ],
)
def test_a_reading_can_be_typed_as_it_is_said(pack: Pack, typed: str, outcome: str) -> None:
    walk = Walk(pack)
    assert walk.take("memory_main", typed).outcome == outcome
    sitting = Sitting(walk, "retake memory_main", typed)
    assert [step.ask for step in sitting.walk.path] == ["memory_main"]


def test_where_a_figure_is_wanted_a_hash_picks_from_the_list(pack: Pack) -> None:
    walk = Walk(pack)
    for id_, told in (("outside_look", "clean"), ("lights_60s", "steady")):
        walk.tell(id_, told)
    while walk.ask().quantity != "voltage":
        walk.skip(walk.ask().id)
    ask = walk.ask()
    Sitting(walk, "#2")
    assert walk.path[-1].ask == ask.id
    assert walk.path[-1].told == ask.choices[1].id


def test_a_figure_that_cannot_be_is_refused_and_nothing_is_lost(pack: Pack) -> None:
    sitting = Sitting(Walk(pack), "1", "wobbly", "retake memory_main", "3 ohm")
    assert len(sitting.walk.path) == 1
    assert "none of the answers" in sitting.text
    assert "ohm" in sitting.text
    assert "Traceback" not in sitting.text


def test_every_word_does_what_the_help_says(pack: Pack) -> None:
    walk = Walk(pack)
    sitting = Sitting(
        walk, "help", "why", "1", "path", "bench", "bench supply=standby", "remark", "remark case_crack",
        "note hinge is loose", "again", "skip no time", "undo", "undo", "retake lights_60s", "steady", "leave", "1",
    )  # fmt: skip
    for word in WORDS:
        assert word in sitting.text
    assert walk.bench["supply"] in ("standby", "powered")
    assert walk.remarks == ("case_crack",)
    assert "Taken back" in sitting.text
    assert [step.ask for step in walk.path] == ["lights_60s"]
    assert sitting.ending is None


def test_close_ends_the_job_with_its_reason(pack: Pack) -> None:
    sitting = Sitting(Walk(pack), "close owner wants it back")
    assert sitting.ending is not None
    assert sitting.ending.what == "left"
    assert "owner wants it back" in sitting.text


def test_a_stop_is_shown_and_ends_the_walk(pack: Pack) -> None:
    sitting = Sitting(Walk(pack), "swollen")
    assert sitting.ending is not None
    assert sitting.ending.what == "stopped"
    assert "WARNING" in sitting.text


def test_after_undo_over_moves_the_bench_is_shown(pack: Pack) -> None:
    sitting = Sitting(Walk(pack), "1", "1", "undo")
    assert "The moves for it were made" in sitting.text
    assert "supply=powered" in sitting.text


def line_process(folder: Path, *arguments: str) -> subprocess.Popen[str]:
    env = {**os.environ, "NEXTPROBE_STORE": f"sqlite:///{folder / 'jobs.db'}", "TERM": "dumb", "PYTHONUNBUFFERED": "1"}
    return subprocess.Popen(
        [sys.executable, "-m", "nextprobe", "walk", *arguments],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=env,
    )  # fmt: skip


def read_until(process: subprocess.Popen[str], words: str) -> str:
    """What the process printed up to the line that holds `words`."""
    assert process.stdout is not None
    found = ""
    for line in process.stdout:
        found += line
        if words in line:
            return found
    raise AssertionError(found)


def test_a_killed_process_goes_on_at_the_same_step(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    process = line_process(tmp_path, "no-picture", "--board", "brindle-14")
    assert process.stdin is not None
    first = read_until(process, "Outside look")
    job = first.split("job ")[1].split()[0]
    for line, then in (("1", "Lights and fan"), ("1", "Lock-key")):
        process.stdin.write(line + "\n")
        process.stdin.flush()
        read_until(process, then)
    process.kill()
    process.communicate()
    again = line_process(tmp_path, "--job", job)
    text, _ = again.communicate("path\nleave\n", timeout=60)
    assert ">> Lock-key" in text
    assert "1. Outside look" in text
    assert "2. Lights and fan" in text
    assert "goes on with it" in text
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    assert main(["jobs", "verify"]) == 0


def test_an_ended_job_is_not_taken_up_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    process = line_process(tmp_path, "no-picture", "--board", "brindle-14")
    text, _ = process.communicate("swollen\n", timeout=60)
    assert "STOPPED" in text
    job = text.split("job ")[1].split()[0]
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    assert main(["walk", "--job", job]) == 2
    assert "has ended (stopped)" in capsys.readouterr().err


@pytest.mark.parametrize(
    "typed", ["²", "9" * 5000, "#²", "#" + "9" * 5000, "\x00", "bench nothing=here", "bench supply=on"]
)
def test_whatever_is_typed_is_answered_in_narrow_lines_and_the_step_stands(pack: Pack, typed: str) -> None:
    walk = Walk(pack)
    sitting = Sitting(walk, typed, "1", "undo")
    said = [line for line in sitting.out if not line.startswith("> ")]
    assert max(map(len, said)) <= 79
    assert walk.ask().id == "outside_look"
    assert "Taken back" in sitting.text


def test_the_end_of_input_within_a_retake_leaves_the_job_open(pack: Pack) -> None:
    sitting = Sitting(Walk(pack), "1", "retake outside_look")
    assert sitting.ending is None
    assert len(sitting.walk.path) == 1


def test_a_word_of_line_mode_that_is_also_an_answer_is_the_answer() -> None:
    from nextprobe.cli.line_mode import _is_answer
    from nextprobe.walk import Ask, Choice

    ask = Ask("measure", "door", "Door", choices=(Choice("close", "It closes"), Choice("stays", "It stays open")))
    assert _is_answer("close", ask)
    assert not _is_answer("leave", ask)


def test_over_goes_to_the_pack_that_a_reading_points_to(pack: Pack, tmp_path: Path) -> None:
    opened = start_job(open_store(f"sqlite:///{tmp_path / 'store.db'}"), pack)
    opened.walk.tell("outside_look", "clean")
    out: list[str] = []
    typed = iter(["over", "silent", "over", "path"])

    def read(_: str) -> str:
        line = next(typed, None)
        if line is None:
            raise EOFError
        return line

    LineMode(opened.walk, read, out.append, opened.go_over).run()
    text = " ".join(" ".join(out).split())
    assert "No reading points to another pack." in text
    assert "This looks like a job for the pack no-reaction: type `over`" in text
    assert "This job goes on in the pack “No reaction to the power button”. Taken over: Outside look" in text
    assert opened.walk.pack.id == "no-reaction"
    assert max(len(line) for line in out) <= 79
