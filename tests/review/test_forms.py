"""The review's forms: lines, data through the command line, the page; and many jobs together."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest

from nextprobe.cli.main import main
from nextprobe.pack.pack import Pack
from nextprobe.record.store import Store
from nextprobe.rehearse.follow import follow
from nextprobe.rehearse.make import Hidden
from nextprobe.rehearse.rehearsal import Setting, start_rehearsal
from nextprobe.review.lines import review_lines
from nextprobe.review.make import make_review
from nextprobe.review.many import review_many
from nextprobe.review.many_lines import many_lines
from nextprobe.review.page import page, timeline
from tests.interchange.jobs_made import a_store
from tests.review.made import HAND, job, written

LATE = [("coin", "heads"), ("mend_left", "done"), ("seen", "still"), ("mend_right", "done"), ("seen", "gone")]
GOOD = [("which", "on_left"), ("mend_left", "done"), ("seen", "gone")]


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    with a_store(tmp_path) as opened:
        yield opened


@pytest.fixture
def hand(tmp_path: Path) -> Pack:
    return written(tmp_path / "hand", HAND)


def test_data_through_the_command_line(store: Store, hand: Pack, capsys: pytest.CaptureFixture[str]) -> None:
    """The contract: `steps` with `regret_minutes`, `doubt_minutes`, `verdict`; the figures are by hand (made.py)."""
    made = job(store, hand, LATE, name="Ilse Marn")
    assert main(["review", made.job.id, "--json"]) == 0
    said = capsys.readouterr().out
    found = json.loads(said)
    assert [one["regret_minutes"] for one in found["steps"]] == [2.0, 4.5, 0.0, 0.0, 0.0]
    assert [one["verdict"] for one in found["steps"]] == ["cost 2 minutes", "cost 4.5 minutes", "paid", "paid", "paid"]
    assert all(one["doubt_minutes"] == 0.0 for one in found["steps"])
    assert found["regret_minutes"] == sum(one["regret_minutes"] for one in found["steps"])
    assert found["turned_minutes"] == sum(one["turned_minutes"] or 0.0 for one in found["steps"])
    assert "Ilse" not in said


def test_lines_say_the_few_first(store: Store, hand: Pack, capsys: pytest.CaptureFixture[str]) -> None:
    made = job(store, hand, LATE, name="Ilse Marn")
    assert main(["review", made.job.id]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 79
    text = " ".join(" ".join(lines).split())
    assert "3 of 5 steps are the ones that were asked. 2 steps cost 6.5 minutes." in text
    assert "the job turned out 5.5 minutes worse than could be expected" in text
    assert text.index("2 steps cost") < text.index("What cost most") < text.index("Step by step")
    assert "Mend left: cost 4.5 minutes. Asked was: Which side?" in text
    assert "Ilse Marn" in text


def test_a_job_without_a_fault_says_so(store: Store, hand: Pack) -> None:
    text = " ".join(review_lines(make_review(store, store.job(job(store, hand, GOOD).job.id))))
    assert "All 3 steps are the ones that were asked" in text
    assert "What cost most" not in text


class _Page(HTMLParser):
    """Tags that are open, and every address that a browser would fetch."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.fetched: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.fetched += [f"{name}={value}" for name, value in attrs if name in ("src", "href", "srcset")]
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_is_whole_and_fetches_nothing(store: Store, hand: Pack, tmp_path: Path) -> None:
    made = job(store, hand, LATE, name="Ilse <b>Marn</b>")
    target = tmp_path / "review.html"
    assert main(["review", made.job.id, "--html", str(target)]) == 0
    text = target.read_text(encoding="utf-8")
    read = _Page()
    read.feed(text)
    assert read.open == []
    assert read.fetched == []
    assert not re.search(r"url\(|@import|<script", text)
    assert "Ilse &lt;b&gt;Marn" in text
    assert "size:A4" in text


def test_the_time_line_is_as_wide_as_its_steps(store: Store, hand: Pack) -> None:
    review = make_review(store, store.job(job(store, hand, LATE).job.id))
    root = ElementTree.fromstring(timeline(review))
    steps = [one for one in root if one.tag.endswith("rect")]
    widths = [float(one.attrib["width"]) for one in steps]
    assert len(steps) == 5
    assert sum(widths) == pytest.approx(1000.0, abs=1.0)
    assert widths[1] == max(widths)  # mending takes longest
    assert "+4" in page(review)  # 4.5, halves to even


def test_a_note_by_the_command_line(store: Store, hand: Pack, capsys: pytest.CaptureFixture[str]) -> None:
    made = job(store, hand, GOOD)
    assert main(["review", made.job.id, "--note", "2", "Ask why.", "--trainer", "Tor Adair"]) == 0
    assert main(["review", made.job.id]) == 0
    assert "Ask why." in capsys.readouterr().out
    assert main(["review", made.job.id, "--note", "two", "Ask why.", "--trainer", "Tor Adair"]) == 2
    assert main(["review", made.job.id, "--note", "2", "Ask why."]) == 2
    assert "who it is from" in capsys.readouterr().err


def test_wrong_use_is_said(store: Store, hand: Pack, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["review"]) == 2
    assert main(["review", "nothing-there"]) == 2
    assert main(["review", job(store, hand, GOOD).job.id, "--pack", "hand"]) == 2
    assert main(["review", "--all", "--html", "x.html"]) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_no_time_is_said_and_nothing_counted(store: Store, hand: Pack, capsys: pytest.CaptureFixture[str]) -> None:
    made = job(store, hand, LATE)
    assert main(["review", made.job.id, "--seconds", "0"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "There was no time to price 5 of 5 steps" in text
    assert "No step was priced." in text


def test_nothing_is_ranked_from_fewer_than_five_jobs(store: Store, hand: Pack) -> None:
    for told, name in [(LATE, "Ann Oren"), (GOOD, "Ann Oren"), (LATE, "Ben Tolk")]:
        job(store, hand, told, name=name)
    many = review_many(store)
    assert many.jobs == 3
    assert all(row.lost is None for row in (*many.people, *many.packs, *many.steps))
    said = " ".join(many_lines(many))
    assert "too few jobs to say" in said


def test_many_jobs_say_where_the_minutes_go(store: Store, hand: Pack, capsys: pytest.CaptureFixture[str]) -> None:
    for _ in range(5):
        job(store, hand, LATE, name="Ann Oren")
    for _ in range(4):
        job(store, hand, GOOD, name="Ben Tolk")
    many = review_many(store)
    ann, ben = many.people
    assert (ann.title, ann.jobs, ann.costly) == ("Ann Oren", 5, 5)
    assert ann.lost is not None
    assert (ann.lost.median, ann.lost.low, ann.lost.high) == pytest.approx((6.5, 6.5, 6.5))
    assert (ben.jobs, ben.lost) == (4, None)
    assert many.steps[0].title == "Mend left"
    assert [row.name for row in review_many(store, person="ben tolk").people] == ["Ben Tolk"]
    assert review_many(store, pack="other").jobs == 0
    assert main(["review", "--all", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["jobs"] == 9
    assert main(["review", "--all"]) == 0
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 79


def test_rehearsals_are_never_counted_with_jobs(store: Store, hand: Pack) -> None:
    job(store, hand, GOOD, name="Ann Oren")
    rehearsal = start_rehearsal(store, hand, Setting(Hidden(3)), technician="Ben Tolk")
    follow(rehearsal.walk, rehearsal.machine)
    assert [row.title for row in review_many(store).people] == ["Ann Oren"]
    assert [row.title for row in review_many(store, rehearsals=True).people] == ["Ben Tolk"]


def test_jobs_for_which_there_is_no_time_are_left_out_and_said(store: Store, hand: Pack) -> None:
    job(store, hand, GOOD)
    many = review_many(store, cancel=lambda: True)
    assert (many.jobs, many.left) == (0, 1)
    assert "no time" in " ".join(many_lines(many))
