"""Jobs as JSON Lines (jsonlines.org: one JSON value a line; RFC 8259): what is written, and what is found altered.

That every change is found and named is the house's own promise; the chain itself is tested in tests/record.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from nextprobe.errors import UsageError
from nextprobe.interchange.job_check import problems
from nextprobe.interchange.job_lines import job_lines
from nextprobe.interchange.job_lines_read import read_jobs
from nextprobe.interchange.replay import Replay
from nextprobe.resources import schemas_dir
from tests.interchange.jobs_made import a_store, gone_over, lamp_job, left

Lines = list[dict[str, Any]]


@pytest.fixture(scope="module")
def text(tmp_path_factory: pytest.TempPathFactory) -> str:
    with a_store(tmp_path_factory.mktemp("there")) as store:
        jobs = [lamp_job(store), gone_over(store), left(store)]
        return "\n".join(job_lines(store, jobs)) + "\n"


def changed(text: str, change: Callable[[Lines], object], *, sealed: bool = True) -> list[tuple[str, str]]:
    """What is found when the lines were changed so; sealed: by somebody who mends the last line too."""
    lines = [json.loads(row) for row in text.splitlines()]
    change(lines)
    rows = [json.dumps(line, separators=(",", ":")) for line in lines]
    if sealed:
        digest = sha256("".join(f"{row}\n" for row in rows[:-1]).encode()).hexdigest()
        rows[-1] = json.dumps({"end": {"lines": len(rows) - 1, "sha256": digest}})
    return problems(read_jobs("\n".join(rows), "jobs.jsonl"))


def events_of(lines: Lines, nth: int = 0) -> list[int]:
    """The places of the events of the nth job."""
    starts = [place for place, line in enumerate(lines) if "job" in line]
    end = [*starts, len(lines) - 1][nth + 1]
    return [place for place in range(starts[nth] + 1, end) if "event" in lines[place]]


def test_what_was_written_is_sound_and_plain_ascii(text: str) -> None:
    assert text.isascii()
    assert all(isinstance(json.loads(row), dict) for row in text.splitlines())
    parcel = read_jobs(text, "jobs.jsonl")
    assert problems(parcel) == []
    assert len(parcel.jobs) == 3
    assert [dict(one.people) for one in parcel.jobs] == [
        {"technician": "Mira Tolland"},
        {"technician": "Bo Esker"},
        {},
    ]


def test_every_line_is_as_the_schema_says(text: str) -> None:
    # JSON Schema, draft 2020-12, by a general-purpose validator.
    schema = json.loads((schemas_dir() / "record.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    kinds = set()
    for row in text.splitlines():
        validator.validate(json.loads(row))
        kinds |= {key for key in ("nextprobe", "pack", "job", "event", "end") if key in json.loads(row)}
    assert len(kinds) == 5


def test_a_job_that_went_over_brings_both_packs(text: str) -> None:
    parcel = read_jobs(text, "jobs.jsonl")
    replay = Replay(parcel.packs.__getitem__)
    assert [replay.pack(hash_).id for hash_ in parcel.packs] == ["dynamo-light", "no-picture", "no-reaction"]


def test_a_line_that_a_power_cut_left_behind_its_events_is_brought_up(tmp_path: Path) -> None:
    with a_store(tmp_path) as store:
        job = gone_over(store)
        first = store.events(job.id)[0].data
        store.set_pack(job.id, first["pack"], first["hash"], first["board"], first["symptom"])
        parcel = read_jobs("\n".join(job_lines(store, [store.job(job.id)])), "jobs.jsonl")
    assert problems(parcel) == []
    assert parcel.jobs[0].job == job


def test_names_are_left_out_on_request(tmp_path: Path) -> None:
    with a_store(tmp_path) as store:
        job = lamp_job(store)
        lines = list(job_lines(store, [job], names=False))
    assert not any("Mira" in line or "people" in json.loads(line) for line in lines)
    parcel = read_jobs("\n".join(lines), "jobs.jsonl")
    assert problems(parcel) == []
    assert parcel.jobs[0].people == {}


@pytest.mark.parametrize("spoil", [lambda t: t.replace("\n", "\r\n"), lambda t: "\ufeff" + t, lambda t: t.rstrip()])
def test_what_mail_and_editors_do_to_a_file_is_no_alteration(text: str, spoil: Callable[[str], str]) -> None:
    assert problems(read_jobs(spoil(text), "jobs.jsonl")) == []


def test_an_altered_event_is_named(text: str) -> None:
    def alter(lines: Lines) -> None:
        lines[events_of(lines)[2]]["event"]["data"]["minutes"] = 99

    (found,) = changed(text, alter)
    assert found[0] == read_jobs(text, "x").jobs[0].job.id
    assert found[1].startswith("Event 3 was altered")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda lines: lines.pop(events_of(lines)[2]), "Event 3 was removed: event 4 comes next."),
        (lambda lines: lines.pop(events_of(lines)[-1]), "Event 8 was removed from the end."),
        (lambda lines: lines.pop(events_of(lines)[0]), "Event 1 was removed: event 2 comes next."),
        (
            lambda lines: lines.insert(events_of(lines)[1], lines.pop(events_of(lines)[3])),
            "Event 2 was moved: it stands behind event 4.",
        ),
    ],
)
def test_a_removed_or_moved_event_is_named(text: str, change: Callable[[Lines], object], said: str) -> None:
    assert [found for _, found in changed(text, change)] == [said]


def test_a_second_event_of_one_number_is_named(text: str) -> None:
    found = changed(text, lambda lines: lines.insert(events_of(lines)[3], lines[events_of(lines)[2]]))
    assert any("Event 3" in said for _, said in found)


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("ending", "repaired", "Its line says another ending than event 3."),
        ("symptom", "other", "Its line says another symptom than event 1."),
        ("board", "brindle-14", "Its line says another board than event 1."),
        ("events", 2, "Event 3 was added at the end."),
        ("head", "0" * 64, "Event 3 is not the one that was written last."),
    ],
)
def test_a_jobs_own_line_must_say_what_its_events_say(text: str, key: str, value: object, said: str) -> None:
    def alter(lines: Lines) -> None:
        [line for line in lines if "job" in line][2]["job"][key] = value

    assert [found for _, found in changed(text, alter)] == [said]


def test_a_pack_whose_text_was_altered_is_refused(text: str) -> None:
    def files(lines: Lines) -> None:
        pack = next(line["pack"] for line in lines if "pack" in line)
        pack["text"] = pack["text"].replace("weight: 1", "weight: 2")

    (found,) = changed(text, files)
    assert found[1].endswith("was altered.")
    assert "pack" in found[1]


def test_a_pack_whose_data_was_altered_beside_its_text_shows_in_the_belief(text: str) -> None:
    def data(lines: Lines) -> None:
        pack = next(line["pack"] for line in lines if "pack" in line)
        kept = json.loads(pack["text"])
        cause = next(iter(kept["data"]["causes"].values()))
        cause["weight"] = 50
        pack["text"] = json.dumps(kept)

    found = changed(text, data)
    assert found
    assert all("another belief than was written" in said for _, said in found)


def test_a_missing_pack_and_a_job_twice_are_said(text: str) -> None:
    found = changed(text, lambda lines: lines.pop(1))
    assert all("The text of its pack is missing" in said for _, said in found)
    assert len(found) == 2

    def twice(lines: Lines) -> None:
        start = next(place for place, line in enumerate(lines) if "job" in line)
        lines[start:start] = [lines[place] for place in (start, *events_of(lines))]
        lines[0]["jobs"] = 4

    assert any("stands in the file twice" in said for _, said in changed(text, twice))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda lines: lines.pop(), "the end was cut off"),
        (lambda lines: lines[0].update(jobs=7), "Lines were removed or added."),
        (lambda lines: next(line for line in lines if "job" in line)["job"].update(opened="2020-01-01"), "was altered"),
        (lambda lines: next(line for line in lines if "job" in line)["people"].update(technician="X"), "was altered"),
    ],
)
def test_what_no_chain_covers_shows_by_the_last_line(text: str, change: Callable[[Lines], object], said: str) -> None:
    (found,) = changed(text, change, sealed=False)
    assert found[0] == ""
    assert said in found[1]


@pytest.mark.parametrize(
    ("spoil", "where"),
    [
        (lambda t: "", "empty"),
        (lambda t: "job;symptom\n1;dark\n", ":1: this is no line of JSON"),
        (lambda t: "{}\n", ":1: this is no file of jobs"),
        (lambda t: t.replace('"format":1', '"format":9', 1), ":1: it was written by another nextprobe"),
        (lambda t: t.replace('{"event"', '{"incident"', 1), ": this line is none of pack, job, event and end"),
        (lambda t: t.replace('"seq":1', '"seq":"1"', 1), ": an event lacks its number"),
        (lambda t: t.replace('"state":', '"mood":', 1), ": a job lacks its state"),
        (lambda t: t + t, ": something stands behind the last line"),
        (lambda t: t.replace('"minutes":', '"minutes":NaN,"x":', 1), ": this is no line of JSON"),
        (lambda t: t + "[" * 100_000, ": this is no line of JSON"),
        (lambda t: t.replace('"people":{', '"people":{"owner":1,', 1), ": the names of people"),
        (lambda t: t.replace('"belief":{', '"belief":{"x":"y",', 1), ": the belief"),
    ],
)
def test_what_cannot_be_read_is_said_with_its_line(text: str, spoil: Callable[[str], str], where: str) -> None:
    with pytest.raises(UsageError) as caught:
        read_jobs(spoil(text), "jobs.jsonl")
    assert where in str(caught.value)
    assert "jobs.jsonl" in str(caught.value)
    assert caught.value.cure


@settings(max_examples=60, deadline=None)
@given(place=st.integers(min_value=0), sign=st.characters(min_codepoint=32, max_codepoint=126))
def test_any_other_sign_anywhere_is_found(text: str, place: int, sign: str) -> None:
    place %= len(text) - 1
    if text[place] in (sign, "\n"):
        return
    spoilt = text[:place] + sign + text[place + 1 :]
    try:
        found = problems(read_jobs(spoilt, "jobs.jsonl"))
    except UsageError as refused:
        found = [("", refused.message)]
    assert found
