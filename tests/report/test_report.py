"""The report of a job from its record. What it must hold is the house's own promise.

Its model is ISO/IEC 17025:2017, 7.8.2 and 7.8.6: the results with their units, the decision rule beside a statement of
conformity (clauses from memory).
"""

from __future__ import annotations

import sqlite3
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from contextlib import closing
from html.parser import HTMLParser
from pathlib import Path

import pytest

from nextprobe import load_pack
from nextprobe.cli.main import main
from nextprobe.errors import StoreError
from nextprobe.job import OpenJob, start_job
from nextprobe.record.store import Store, open_store
from nextprobe.report.lines import report_lines
from nextprobe.report.make import make_report
from nextprobe.report.page import page
from nextprobe.report.report import Report
from tests.interchange.jobs_made import a_store, gone_over


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with a_store(tmp_path) as opened:
        yield opened


def begun(store: Store) -> OpenJob:
    """A job in the no-reaction pack with three figures, one of them taken back, and something seen."""
    opened = start_job(store, load_pack("no-reaction", "tansy-12"), technician="Mira Tolland")
    walk = opened.walk
    walk.tell("outside_look", "liquid_dry", took=2)
    walk.tell("recent_drop", "reported")
    walk.tell("adapter_voltage", "12.0 V")
    walk.undo()
    walk.tell("adapter_voltage", "20.1 V", took=3)
    walk.tell("main_rail_ohm", "1.01 kohm", took=4)
    return opened


def finished(store: Store) -> Report:
    opened = begun(store)
    walk = opened.walk
    walk.skip("ports_look", "no key")
    repair = next(iter(walk.pack.repairs))
    walk.tick(repair, 1)
    walk.tell(repair, "done")
    walk.tell("seen", "still")
    walk.tell("main_rail_ohm", "21 kohm")
    walk.note("Runs from a lent adapter for now")
    walk.note("Owner <b>calls</b> at noon")
    walk.remark(next(iter(walk.pack.remarks)))
    walk.tell("refer", "done")
    walk.close()
    store.append(opened.job.id, "noted", {"text": "Trainer: ask sooner", "trainer": "T."})
    return make_report(store, store.job(opened.job.id))


def words_of(report: Report) -> str:
    return " ".join(" ".join(report_lines(report)).split())


def test_figures_stand_with_limits_meter_and_statement(store: Store) -> None:
    report = finished(store)
    adapter, rail, again = report.measured
    assert (adapter.shown, rail.shown, again.shown) == ("20.1 V", "1.01 kohm", "21 kohm")
    assert adapter.conformity is not None
    assert (adapter.conformity.limits, adapter.conformity.statement) == ("19 V to 21 V", "pass")
    assert adapter.meter == "Digital multimeter"
    assert adapter.accuracy == "± (0.5 % + 3 counts)"
    # 1 % above the limit of 1 kohm, a = 0.9 % + 3 counts of 10 ohm: nearer than U.
    assert rail.conformity is not None
    assert rail.conformity.statement == "conditional pass"
    assert (rail.behind, bool(again.behind)) == ("", True)


def test_what_was_taken_back_is_left_out(store: Store) -> None:
    assert "12 V" not in words_of(finished(store)).replace("12 V DC", "")


def test_one_place_has_one_number_in_the_sketch(store: Store) -> None:
    report = finished(store)
    assert [one.point for one in report.measured] == [0, 1, 1]
    assert [title for title, _ in report.points] == [report.measured[1].title]


def test_it_says_all_that_an_owner_is_told(store: Store) -> None:
    report = finished(store)
    pack = load_pack("no-reaction", "tansy-12")
    repair = next(iter(pack.repairs.values()))
    said = words_of(report)
    assert report.ending == "referred"
    for text in (
        "Technician: Mira Tolland",
        pack.history["recent_drop"].ask,
        next(iter(pack.symptoms.values())).title,
        f"{repair.title} (1 of {len(repair.steps)} steps ticked off): the symptom was still there.",
        "TEMPORARY - Runs from a lent adapter for now",
        "Owner <b>calls</b> at noon",
        next(iter(pack.remarks.values())).say,
        "ILAC-G8:09/2019",
        "measured at 3 of",
        report.head,
        f"{report.events} events",
        "Date ___",
    ):
        assert " ".join(text.split()) in said
    assert "no key" in said
    assert "Most likely, not proven" in said


def test_a_trainers_note_behind_the_ending_is_not_the_owners(store: Store) -> None:
    assert "ask sooner" not in words_of(finished(store))


def test_lines_fit_a_terminal(store: Store) -> None:
    assert max(map(len, report_lines(finished(store)))) <= 79


def test_a_repaired_job_names_its_proof_and_what_is_not_proved(store: Store) -> None:
    opened = start_job(store, load_pack("dynamo-light"))
    walk = opened.walk
    walk.tell(next(iter(walk.pack.repairs)), "done")
    skipped = ""
    while walk.ending is None:
        ask = walk.ask()
        if ask.kind == "check" and ask.id != "seen" and not skipped:
            skipped = ask.title
            walk.skip(ask.id, "no time")
        else:
            walk.tell(ask.id, "gone" if ask.id == "seen" else ask.choices[0].id)
    walk.close()
    report = make_report(store, store.job(opened.job.id))
    assert report.ending == "repaired"
    assert report.proven
    assert report.not_proved == (skipped,)
    assert report.done[-1].result == "the symptom was gone"
    assert f"NOT PROVED - {skipped}" in words_of(report)
    assert "Cause: " in words_of(report)


def test_a_failed_check_takes_the_result_back(store: Store) -> None:
    opened = start_job(store, load_pack("dynamo-light"))
    walk = opened.walk
    walk.tell(next(iter(walk.pack.repairs)), "done")
    while walk.ask().id != "seen":
        walk.tell(walk.ask().id, walk.ask().choices[0].id)
    walk.tell("seen", "gone")
    check = walk.ask()
    walk.tell(check.id, "failed")
    report = make_report(store, store.job(opened.job.id))
    assert report.done[-1].result == f"not proved, this check failed: {check.title}"


def test_an_open_job_says_that_it_is_open(store: Store) -> None:
    report = make_report(store, store.job(begun(store).job.id))
    assert "still open" in words_of(report)
    assert report.cause == ""
    assert "still open" in page(report)


def test_a_job_that_went_over_keeps_its_figures_and_names_both_packs(store: Store) -> None:
    opened = start_job(store, load_pack("no-picture", "tansy-12"))
    opened.walk.tell("memory_main", "1.25 V")
    opened.go_over("no-reaction")
    opened.walk.tell("adapter_voltage", "20.1 V")
    report = make_report(store, store.job(opened.job.id))
    assert [one.shown for one in report.measured] == ["1.25 V", "20.1 V"]
    assert len(report.packs) == 2
    assert make_report(store, gone_over(store)).history


def test_a_job_that_has_only_just_begun_or_gone_over_is_reported(store: Store) -> None:
    opened = start_job(store, load_pack("no-picture", "tansy-12"))
    assert make_report(store, store.job(opened.job.id)).ending == ""
    opened.go_over("no-reaction")
    report = make_report(store, store.job(opened.job.id))
    assert len(report.packs) == 2
    assert report.symptom == next(iter(load_pack("no-reaction").symptoms.values())).title


def test_a_record_that_is_not_sound_is_said_first(tmp_path: Path, store: Store) -> None:
    job = begun(store).job.id
    store.close()
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as db:
        db.execute("""UPDATE events SET data = replace(data, '20.1 V', '20.2 V') WHERE data LIKE '%"20.1 V"%'""")
        db.commit()
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as again:
        report = make_report(again, again.job(job))
    assert report.broken
    first = next(line for line in report_lines(report) if line.startswith("! "))
    assert "not as it was written" in " ".join(words_of(report).split())
    assert first
    assert page(report).index("not as it was written") < page(report).index("Complaint")


class Strict(HTMLParser):
    """Names what a page would load from elsewhere, and the tags left open."""

    def __init__(self) -> None:
        super().__init__()
        self.loads: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.loads += [f"{tag} {name}" for name, _ in attrs if name in ("src", "href", "srcset", "data", "action")]
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if self.open.pop() != tag:
            raise ValueError(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.handle_endtag(tag)


def test_the_page_loads_nothing_and_escapes_what_was_typed(store: Store) -> None:
    text = page(finished(store))
    strict = Strict()
    strict.feed(text)
    assert strict.loads == []
    assert strict.open == []
    assert "<script" not in text
    assert "@import" not in text
    assert "url(" not in text
    assert "Owner &lt;b&gt;calls&lt;/b&gt; at noon" in text
    assert "@page{size:A4" in text
    assert "Technician</div>" in text
    drawing = ET.fromstring(text[text.index("<svg") : text.index("</svg>") + 6])
    # One circle for the one place of the board that was measured twice.
    assert len(drawing.findall("{http://www.w3.org/2000/svg}circle")) == 1


def test_the_command_prints_and_writes(
    tmp_path: Path, store: Store, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    report = finished(store)
    assert main(["report", report.job[-4:]]) == 0
    assert capsys.readouterr().out.startswith(f"Report of job {report.job}\n")
    target = tmp_path / "report.html"
    assert main(["report", report.job, "--html", str(target)]) == 0
    assert target.read_text(encoding="utf-8") == page(report)
    assert main(["report", report.job, "--html", str(tmp_path / "nowhere" / "x.html")]) == 2
    assert "cannot be written" in capsys.readouterr().err
    assert main(["report", "zzzz"]) == 2


def test_a_job_without_a_start_cannot_be_reported(store: Store) -> None:
    job = store.create_job("no-picture", "ab" * 32, "text", None, "no_picture", None)
    with pytest.raises(StoreError, match="Nothing was told"):
        make_report(store, job)
    store.append(job.id, "started", {"hash": "ab" * 32})
    with pytest.raises(StoreError, match="cannot be reported"):
        make_report(store, store.job(job.id))
