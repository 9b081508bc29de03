"""What a step says of the plan: both ends, where each outcome leads; and a plan that is thought deeper."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nextprobe import Walk, load_pack
from nextprobe.walk import Ask


@pytest.fixture(scope="module")
def planned() -> tuple[Walk, Ask]:
    """A walk of the bundled pack at its first planned step."""
    walk = Walk(load_pack("no-picture", "tansy-12"))
    ask = walk.ask()
    while not ask.leads:
        walk.tell(ask.id, ask.choices[0].id)
        ask = walk.ask()
    return walk, ask


def test_a_step_says_both_ends_and_the_candidates_beside_it(planned: tuple[Walk, Ask]) -> None:
    _, ask = planned
    assert 0 < ask.at_least <= ask.expected
    assert ask.ranking[0].id == ask.id
    assert ask.ranking[0].minutes == pytest.approx(ask.expected)
    others = [candidate for candidate in ask.ranking if candidate.id != ask.id and candidate.kind != "refer"]
    assert len(others) >= 2
    assert all(candidate.minutes == pytest.approx(ask.expected + candidate.more) for candidate in others)


def test_each_lead_is_the_step_that_comes_after_that_answer() -> None:
    """What was foreseen for an outcome is what is asked once it is told, or is planned better by then."""
    walk = Walk(load_pack("no-picture", "tansy-12"))
    foreseen = kept = 0
    for _ in range(24):
        ask = walk.ask()
        if ask.kind == "done" or not ask.choices:
            break
        likely = next((lead for lead in ask.leads if lead.outcome in {choice.id for choice in ask.choices}), None)
        told = "still" if ask.id == "seen" else ask.choices[0].id
        if likely is not None and ask.kind in ("measure", "history"):
            told = likely.outcome
        walk.tell(ask.id, told)
        if likely is not None and likely.outcome == told:
            foreseen += 1
            kept += walk.ask().id == likely.id
    assert foreseen >= 4
    assert kept >= foreseen / 2


def test_thinking_deeper_is_followed_and_never_worse() -> None:
    walk = Walk(load_pack("no-picture", "tansy-12"))
    ask = walk.ask()
    while not ask.leads:
        walk.tell(ask.id, ask.choices[0].id)
        ask = walk.ask()
    deeper = walk.think(2.0)
    assert deeper is not None
    assert deeper < ask.expected
    walk.tell(ask.id, ask.leads[0].outcome)
    after = walk.ask()
    fresh = Walk(load_pack("no-picture", "tansy-12"))
    step = fresh.ask()
    while step.id != ask.id:
        fresh.tell(step.id, step.choices[0].id)
        step = fresh.ask()
    fresh.tell(step.id, ask.leads[0].outcome)
    assert after.expected < fresh.ask().expected


def test_an_answer_that_was_not_foreseen_is_planned_anew() -> None:
    walk, other = (Walk(load_pack("no-picture", "tansy-12")) for _ in range(2))
    for one in (walk, other):
        ask = one.ask()
        while not ask.leads:
            one.tell(ask.id, ask.choices[0].id)
            ask = one.ask()
    walk.think(0.3)
    for one in (walk, other):
        one.skip(one.ask().id, "no lamp here")
    anew, same = walk.ask(), other.ask()
    # What was thought is of no use to the step; what no plan goes below may be known better.
    assert replace(anew, at_least=0.0) == replace(same, at_least=0.0)


def test_prices_of_the_step_before_bound_the_next_closer(planned: tuple[Walk, Ask]) -> None:
    """After thinking, what no plan goes below is closer at the next steps than a few fresh rounds bring it."""
    walk, other = (Walk(load_pack("no-picture", "tansy-12")) for _ in range(2))
    for one in (walk, other):
        while one.ask().id != planned[1].id:
            one.tell(one.ask().id, one.ask().choices[0].id)
    walk.think(6.0)
    told = planned[1].leads[0].outcome
    for one in (walk, other):
        one.tell(planned[1].id, told)
    assert walk.ask().at_least > other.ask().at_least


def test_what_an_outcome_means_is_what_the_belief_says_once_it_is_told() -> None:
    """One fault at a time: the likeliest cause and those ruled out are those of the belief after telling it."""
    base = load_pack("no-picture", "tansy-12")
    pack = replace(base, pairs=0.0)
    first = Walk(pack)
    ask = first.ask()
    while not ask.leads or ask.kind != "measure":
        first.tell(ask.id, ask.choices[0].id)
        ask = first.ask()
    before = first.belief()
    told = [lead for lead in ask.leads if lead.outcome in pack.measurements[ask.id].outcomes]
    assert len(told) >= 2
    for lead in told:
        first.tell(ask.id, lead.outcome)
        after = first.belief()
        assert after[lead.likeliest] == pytest.approx(max(after.values()), abs=1e-9)
        assert lead.sure == pytest.approx(after[lead.likeliest], abs=1e-9)
        gone = {cause for cause in before if before[cause] >= 0.01 > after[cause]}
        assert set(lead.ruled_out) == gone
        first.undo()
