"""``nextprobe walk`` by answers: the core story, every ending, what is refused."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.record.store import open_store
from tests.cli.helpers import CORE, DEMO, answers_file, result_of, told_of
from tests.test_job import broken

PAST_THE_SLOT = {"processor_joint_memory", "memory_trace_open", "memory_channel_inside"}


@pytest.fixture(autouse=True)
def _own_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


def test_the_core_story_ends_in_a_proven_repair(capsys: pytest.CaptureFixture[str]) -> None:
    result = result_of(capsys, *CORE, "--answers", str(DEMO))
    assert result["ending"] == "repaired"
    assert result["cause"] == "processor_joint_memory"
    assert result["repair"] == "reball_processor_underfilled"
    asked = [step["ask"] for step in result["steps"]]
    assert set(result["steps"][0]) >= {"ask", "kind", "told", "minutes", "bench"}
    repair = asked.index("reball_processor_underfilled")
    assert asked[repair + 1] == "before_power"
    assert result["steps"][repair + 1]["bench"]["supply"] == "removed"
    assert asked[repair + 2] == "seen"
    assert {"both_channels", "load_test", "cooler_fit"} <= set(asked[repair + 3 :])
    assert result["remarks"] == ["case_crack", "cooler_misaligned", "wrong_compound", "screws"]
    assert sum(result["belief"].values()) >= 1.0 - 1e-9
    assert result["minutes"] > 0


def test_the_path_is_printed_for_a_person(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*CORE, "--answers", str(DEMO)]) == 0
    text = capsys.readouterr().out
    assert "REPAIRED" in text
    assert "Tell the owner: Cooler" in text
    assert "\x1b" not in text
    assert max(map(len, text.splitlines())) <= 79


def test_without_the_skill_it_is_handed_over(capsys: pytest.CaptureFixture[str]) -> None:
    result = result_of(capsys, *CORE, "--answers", str(DEMO), "--without", "package_rework")
    assert result["ending"] == "handed_over"
    assert result["skill"] == "package_rework"
    assert all("reball" not in step["ask"] for step in result["steps"])


def test_past_the_owners_limit_it_is_quoted(capsys: pytest.CaptureFixture[str]) -> None:
    result = result_of(capsys, *CORE, "--answers", str(DEMO), "--limit", "100")
    assert result["ending"] == "referred"
    assert "limit" in result["why"]


def test_a_lacking_instrument_leaves_out_what_needs_it(capsys: pytest.CaptureFixture[str]) -> None:
    result = result_of(capsys, *CORE, "--answers", str(DEMO), "--without", "slot_checker,microscope")
    asked = {step["ask"] for step in result["steps"]}
    assert not asked & {"checker_in_slots", "slot_look", "magnified_look", "reball_processor_underfilled"}


def test_a_hidden_cause_lets_repairs_answer_by_themselves(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    answers = {key: value for key, value in told_of(DEMO).items() if value not in ("gone", "still", "passed")}
    path = answers_file(tmp_path, {**answers, "cause": "processor_joint_memory"})
    result = result_of(capsys, *CORE, "--answers", str(path))
    assert result["ending"] == "repaired"
    assert result["not_proved"] == []


def test_what_is_not_in_the_answers_is_skipped(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = answers_file(tmp_path, {"outside_look": "clean"})
    result = result_of(capsys, *CORE, "--answers", str(path))
    skipped = [step["skipped"] for step in result["steps"] if step["told"] is None]
    assert skipped
    assert set(skipped) == {"not in the answers"}
    assert result["ending"] == "referred"


def test_a_swollen_pack_stops_the_work(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = answers_file(tmp_path, {"outside_look": "swollen"})
    result = result_of(capsys, *CORE, "--answers", str(path))
    assert result["ending"] == "stopped"
    assert len(result["steps"]) == 1
    assert result["why"].startswith("WARNING")


def test_readings_that_nothing_explains_end_unknown() -> None:
    """The bundled pack's own case of a machine that it does not know."""
    from nextprobe import Walk, load_pack
    from nextprobe.study.cases import load_cases

    case = next(one for one in load_cases("no-picture") if {"first": "unlisted"} in one["expect"])
    walk = Walk(load_pack("no-picture"), options=case["options"])
    for id_, told in case["told"].items():
        walk.tell(id_, str(told))
    assert walk.conflict() > 0
    assert walk.belief()["unlisted"] >= 0.5
    for _ in range(60):
        ask = walk.ask()
        if ask.kind == "done":
            break
        walk.skip(ask.id)
    assert ask.ending is not None
    assert ask.ending.what == "unknown"
    assert ask.ending.cause == ""
    assert "does not know" in ask.ending.why
    assert len(ask.ending.ruled_out) > 20
    walk.note("It was the strap of the bag under the lid.")
    assert walk.ending is not None
    assert walk.ending.notes == ("It was the strap of the bag under the lid.",)


def test_belief_follows_the_core_story() -> None:
    """Own inventory, estimates: past the slot about 0.7, with the open line toward the processor about 0.98."""
    from nextprobe import Walk, load_pack

    told = told_of(DEMO)
    walk = Walk(load_pack("no-picture", "brindle-14"))
    for id_ in ("lights_60s", "key_lighting", "lock_key", "external_picture", "checker_in_slots"):
        walk.tell(id_, told[id_])
    walk.tell("reseat_memory", "still")
    walk.tell("slot_swap", told["slot_swap"])
    walk.tell("slot_look", told["slot_look"])
    belief = walk.belief()
    assert max(belief, key=lambda cause: belief[cause]) == "processor_joint_memory"
    assert 0.65 <= walk.any_present(PAST_THE_SLOT) <= 0.8
    walk.tell("slot_diode", told["slot_diode"])
    assert walk.any_present(PAST_THE_SLOT) >= 0.97


def test_the_package_repair_is_asked_with_its_cautions_and_steps() -> None:
    from nextprobe import Walk, load_pack

    walk = Walk(load_pack("no-picture", "brindle-14"))
    told = told_of(DEMO)
    for _ in range(80):
        ask = walk.ask()
        if ask.id == "reball_processor_underfilled":
            break
        if ask.id == "seen":
            walk.tell("seen", "still")
        elif ask.id not in told:
            walk.skip(ask.id)
        else:
            walk.tell(ask.id, "done" if ask.kind == "repair" else told[ask.id])
    assert ask.id == "reball_processor_underfilled"
    text = " ".join(ask.steps).lower()
    for word in ("underfill", "shields", "thermocouple", "melt", "217", "float", "reball", "never pry"):
        assert word in text
    assert {"hot_tool", "fumes", "heat_neighbours", "oven_cells"} <= {hazard.id for hazard in ask.hazards}
    signals = [hazard.signal for hazard in ask.hazards]
    assert signals == sorted(signals, key=["DANGER", "WARNING", "CAUTION", "NOTICE"].index)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["walk"], "No pack was named"),
        (["walk", "no-pictures"], "There is no pack"),
        ([*CORE[:2], "--board", "brindle"], "There is no board sheet"),
        ([*CORE, "--symptom", "no_pictur"], "no_picture"),
        ([*CORE, "--without", "slot_cheker"], "Did you mean 'slot_checker'"),
        ([*CORE, "--limit", "-1"], "limit"),
        ([*CORE, "--limit", "nan"], "limit"),
        ([*CORE, "--limit", "inf"], "limit"),
        ([*CORE, "--json"], "--answers"),
        ([*CORE, "--answers", "nowhere.yaml"], "no answers file"),
        ([*CORE, "--shop", "nowhere.yaml"], "no shop file"),
        (["walk", "--job", "2020-01-01-abcd"], "job"),
        (["walk", "no-picture", "--job", "x"], "--job"),
    ],
)
def test_what_cannot_be_used_is_said_once(arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments) == 2
    captured = capsys.readouterr()
    assert words in captured.err
    assert "Traceback" not in captured.err
    assert captured.out == ""


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("outside_look: [clean", "NP"),
        ("outside_lok: clean\n", "Did you mean 'outside_look'"),
        ("cause: nobody\n", "no cause 'nobody'"),
        ("- clean\n", "NP"),
        ("", "NP"),
    ],
)
def test_a_bad_answers_file_opens_no_job(
    text: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "answers.yaml"
    path.write_text(text, encoding="utf-8")
    assert main([*CORE, "--answers", str(path)]) == 2
    assert words in capsys.readouterr().err
    assert main(["jobs", "list"]) == 0
    assert "no-picture" not in capsys.readouterr().out


def test_an_answer_that_cannot_be_taken_names_its_id(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = answers_file(tmp_path, {"outside_look": "spotless"})
    assert main([*CORE, "--answers", str(path)]) == 2
    error = capsys.readouterr().err
    assert "'outside_look'" in error
    assert "clean" in error


def test_what_is_known_before_the_first_step_is_recorded(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    command = ["walk", "no-picture", "--plain", "--option", "memory=socketed", "--bench", "supply=removed"]
    assert main([*command, "--told", "recent_drop", "--denied", "liquid_reported,firmware_update"]) == 0
    with open_store() as store:
        (job,) = store.jobs()
        started, *told = store.events(job.id)
    assert started.data["options"]["memory"] == "socketed"
    assert started.data["bench"]["supply"] == "removed"
    assert [(event.data["ask"], event.data["told"]) for event in told] == [
        ("recent_drop", "reported"),
        ("liquid_reported", "denied"),
        ("firmware_update", "denied"),
    ]


def test_a_store_that_fails_at_the_first_fact_leaves_no_half_job(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "jobs.db"
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{file}")
    with open_store():
        broken(file)
    assert main(["walk", "no-picture", "--plain", "--told", "recent_drop"]) == 2
    assert "Traceback" not in capsys.readouterr().err
    with open_store() as store:
        assert store.jobs() == []


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["--option", "memory"], "--option 'memory' has no value."),
        (["--told", "recent_dropp"], "Did you mean 'recent_drop'?"),
        (["--told", "recent_drop", "--denied", "recent_drop"], "'recent_drop' is both told and denied."),
        (["--bench", "supply=gone"], "gone"),
        (["--option", "memory=none"], "never 'none'"),
    ],
)
def test_what_is_not_known_to_the_pack_opens_no_job(
    given: list[str], said: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    assert main(["walk", "no-picture", "--plain", *given]) == 2
    assert said in capsys.readouterr().err
    with open_store() as store:
        assert store.jobs() == []
