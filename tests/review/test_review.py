"""A record beside what would have been asked. Figures by hand where the pack is: see HAND in made.py."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from nextprobe.errors import StoreError, UsageError
from nextprobe.job import start_job
from nextprobe.pack.pack import Pack
from nextprobe.record.store import Store
from nextprobe.review.make import make_review
from nextprobe.review.notes import add_note
from nextprobe.review.review import Review
from tests.interchange.jobs_made import a_store, gone_over, lamp_job, left
from tests.review.made import HAND, ORDERED, job, written
from tests.study.small import ONLY_FINDS


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with a_store(tmp_path) as opened:
        yield opened


@pytest.fixture
def hand(tmp_path: Path) -> Pack:
    return written(tmp_path / "hand", HAND)


def reviewed(store: Store, pack: Pack, *told: tuple[str, str]) -> Review:
    return make_review(store, store.job(job(store, pack, told).job.id))


def test_the_path_that_was_asked_costs_nothing(store: Store, hand: Pack) -> None:
    review = reviewed(store, hand, ("which", "on_left"), ("mend_left", "done"), ("seen", "gone"))
    assert [one.verdict for one in review.steps] == ["paid"] * 3
    assert review.regret == review.doubt == 0.0
    assert review.ending == "repaired"
    # 1 min to look, then 10 + 1 min to mend and see: the optimum of the pack, by hand.
    assert review.steps[0].expected == pytest.approx(12.0)


def test_a_repair_too_early_costs_what_it_does_by_hand(store: Store, hand: Pack) -> None:
    """11 min, and in half of the jobs 11 more, in place of 12: regret 4.5; still there: 5.5 min worse than expected."""
    review = reviewed(store, hand, ("mend_left", "done"), ("seen", "still"), ("mend_right", "done"), ("seen", "gone"))
    first = review.steps[0]
    assert (first.asked, first.solved, first.doubt) == ("which", True, 0.0)
    assert first.regret == pytest.approx(4.5)
    assert first.verdict == "cost 4.5 minutes"
    assert first.turned == pytest.approx(5.5)
    assert "before the evidence paid" in first.flags[0]
    assert "50 of 100" in first.flags[0]
    assert [one.regret for one in review.steps[1:]] == [0.0, 0.0, 0.0]
    assert review.regret == pytest.approx(4.5)
    assert review.turned == pytest.approx(5.5)


def test_the_same_step_costs_the_same_where_it_was_lucky(store: Store, hand: Pack) -> None:
    review = reviewed(store, hand, ("mend_left", "done"), ("seen", "gone"))
    assert review.steps[0].regret == pytest.approx(4.5)
    assert review.steps[0].turned == pytest.approx(-5.5)


def test_a_reading_that_tells_nothing_costs_its_minutes(store: Store, hand: Pack) -> None:
    """Tossing a coin takes 2 min and leaves the rest as it was; so does a check of 3 min that nobody asked for."""
    review = reviewed(store, hand, ("coin", "heads"), ("scale", "passed"), ("which", "on_left"))
    assert [one.regret for one in review.steps] == pytest.approx([2.0, 3.0, 0.0])
    assert review.steps[0].turned == pytest.approx(0.0)
    assert review.ending == ""


def test_quoting_too_early_costs_the_rest(store: Store, hand: Pack) -> None:
    """500 min in place of 12."""
    review = reviewed(store, hand, ("refer", "done"))
    assert review.regret == pytest.approx(488.0)
    assert review.ending == "referred"


def test_leaving_out_the_best_reading_costs_the_difference(store: Store, hand: Pack) -> None:
    """Without it the best is to mend one side and then the other: 16.5 min in place of 12."""
    opened = start_job(store, hand)
    opened.walk.skip("which", "no light")
    opened.walk.skip("scale", "none here")
    review = make_review(store, store.job(opened.job.id))
    first, second = review.steps
    assert first.skipped
    assert first.regret == pytest.approx(4.5)
    assert second.verdict == "left out"


def test_what_was_taken_back_is_not_judged(store: Store, hand: Pack) -> None:
    opened = start_job(store, hand)
    opened.walk.tell("coin", "heads")
    opened.walk.undo()
    opened.walk.tell("which", "on_left")
    review = make_review(store, store.job(opened.job.id))
    assert [one.verdict for one in review.steps] == ["taken back", "paid"]
    assert review.regret == 0.0


def test_a_reading_taken_again_for_nothing_costs_its_minutes(store: Store, hand: Pack) -> None:
    review = reviewed(store, hand, ("which", "on_left"), ("which", "on_left"))
    assert review.steps[1].regret == pytest.approx(1.0)


def test_where_only_the_cause_is_wanted_the_worse_question_costs_more(store: Store, tmp_path: Path) -> None:
    """Green (half of the jobs) first: 2 min, and 2 more in half; red (a quarter) first: 2 more in three quarters."""
    green = "  green_ohm: {title: Green through?, minutes: 2, outcomes: {through: {say: Through}, open: {say: Open}},\n"
    green += "    reads: [{when: green, gives: {open: 1}}, {otherwise: {through: 1}}]}\n"
    review = reviewed(store, written(tmp_path / "find", ONLY_FINDS + green), ("red_ohm", "yes_"))
    assert review.steps[0].asked == "green_ohm"
    assert review.steps[0].difference == pytest.approx(0.5)


def test_what_the_shop_lacks_is_judged_as_telling_nothing_and_said(store: Store, tmp_path: Path) -> None:
    text = HAND.replace("title: Which side?", "title: Which side?\n    instrument: lamp")
    text += "instruments: {lamp: {title: Lamp, may_lack: true}}\n"
    opened = start_job(store, written(tmp_path / "lamp", text), lacks=["lamp"])
    opened.walk.tell("which", "on_left")
    review = make_review(store, store.job(opened.job.id))
    assert review.steps[0].regret == pytest.approx(1.0)
    assert "does not offer it" in review.steps[0].flags[0]


def test_minutes_by_the_clock_stand_beside_the_packs(store: Store, hand: Pack) -> None:
    opened = start_job(store, hand)
    opened.walk.tell("which", "on_left", took=2.5)
    review = make_review(store, store.job(opened.job.id))
    assert [(one.minutes, one.took) for one in review.clocked] == [(1.0, 2.5)]


def test_order_and_cautions_are_said(store: Store, tmp_path: Path) -> None:
    """The caution has 15 words: about 3.8 s at 238 words a minute (Brysbaert 2019, from memory); 1 s is too short."""
    pack = written(tmp_path / "ordered", ORDERED)
    opened = start_job(store, pack)
    opened.walk.tell("deeper", "dull", took=1.0)
    opened.walk.tell("mend_left", "done", took=1 / 60)
    review = make_review(store, store.job(opened.job.id))
    deeper, mend = review.steps
    assert any("“Look around”, which always comes first" in flag for flag in deeper.flags)
    assert any("“Toss a coin”, which must be told first" in flag for flag in deeper.flags)
    assert any("less than its cautions take to read" in flag for flag in mend.flags)


def test_a_caution_that_was_read_is_not_brought_up(store: Store, tmp_path: Path) -> None:
    pack = written(tmp_path / "ordered", ORDERED)
    opened = start_job(store, pack)
    for id_, told in (("around", "fine"), ("which", "on_left")):
        opened.walk.ask()
        opened.walk.tell(id_, told, took=0.01)
    opened.walk.ask()
    opened.walk.tell("mend_left", "done", took=9.0)
    review = make_review(store, store.job(opened.job.id))
    assert [one.flags for one in review.steps] == [(), (), ()]


def test_readings_that_fought_are_named(store: Store, tmp_path: Path) -> None:
    """Two ways of reading one fact that disagree: one of them is wrong, as near as makes no difference."""
    looks = "".join(
        f"  {name}: {{title: Look {name}, minutes: 1, misread: 0.001, outcomes: {{l: {{say: L}}, r: {{say: R}}}},\n"
        "    reads: [{when: left, gives: {l: 1}}, {otherwise: {r: 1}}]}\n"
        for name in ("one", "two", "three")
    )
    text = HAND.replace("  scale: {title: Weigh it, minutes: 3}\n", looks)
    review = reviewed(store, written(tmp_path / "fight", text), ("one", "l"), ("two", "r"), ("three", "r"))
    assert [clash.number for clash in review.clashes][:1] == [2]
    assert review.clashes[-1].title == "Look one"


def test_open_left_and_gone_over_jobs_are_reviewed(store: Store) -> None:
    assert make_review(store, left(store)).ending == "left"
    lamp = make_review(store, lamp_job(store))
    assert [one.verdict for one in lamp.steps][2] == "taken back"
    assert lamp.steps[3].skipped
    over = make_review(store, gone_over(store))
    assert over.pack_ids == ("no-picture", "no-reaction")
    assert [one.pack for one in over.steps] == ["no-picture", "no-picture"]


def test_a_record_that_is_not_sound_is_reviewed_and_says_so(store: Store, hand: Pack, tmp_path: Path) -> None:
    made = job(store, hand, [("coin", "heads"), ("which", "on_left")])
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as db, db:
        db.execute("UPDATE events SET data = replace(data, 'Heads', 'Tails') WHERE seq = 2")
    review = make_review(store, store.job(made.job.id))
    assert "Event 2 was altered" in " ".join(review.broken)
    with closing(sqlite3.connect(tmp_path / "jobs.db")) as db, db:
        db.execute("""UPDATE events SET data = replace(data, '"ask": "coin"', '"ask": "gone"') WHERE seq = 2""")
    with pytest.raises(StoreError, match="cannot be reviewed"):
        make_review(store, store.job(made.job.id))


def test_with_no_time_the_steps_are_there_unpriced(store: Store, hand: Pack) -> None:
    made = job(store, hand, [("coin", "heads"), ("which", "on_left")])
    review = make_review(store, store.job(made.job.id), cancel=lambda: True)
    assert [one.verdict for one in review.steps] == ["no time to price it"] * 2
    assert review.left == 2
    assert review.regret == 0.0


def test_a_note_stands_in_the_chain_and_its_writer_apart(store: Store, hand: Pack) -> None:
    made = job(store, hand, [("which", "on_left"), ("mend_left", "done"), ("seen", "gone")])
    add_note(store, store.job(made.job.id), 1, "Good first look.", "Tor Adair")
    add_note(store, store.job(made.job.id), 0, "Well done.", "Una Bell")
    ended = store.job(made.job.id)
    review = make_review(store, ended)
    assert [(note.text, note.by) for note in review.steps[0].notes] == [("Good first look.", "trainer")]
    assert [(note.text, note.by) for note in review.notes] == [("Well done.", "trainer 2")]
    assert store.verify(made.job.id) == []
    assert ended.state == "ended"
    assert not any("Tor" in str(event.data) for event in store.events(made.job.id))
    store.erase_names(made.job.id)
    assert store.verify(made.job.id) == []
    with pytest.raises(UsageError, match="no step 9"):
        add_note(store, ended, 9, "What?", "Tor Adair")
