"""A review as plain data for other programs, without names of people."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from nextprobe.review.review import Review, StepReview


def as_data(review: Review) -> dict[str, Any]:
    """The whole; every figure in minutes. `turned_minutes` above 0 is worse than could be expected."""
    return {
        "job": review.job,
        "packs": list(review.pack_ids),
        "ending": review.ending,
        "regret_minutes": _figure(review.regret),
        "doubt_minutes": _figure(review.doubt),
        "turned_minutes": _figure(review.turned),
        "gap_minutes": _figure(review.gap),
        "not_priced": review.left,
        "broken": list(review.broken),
        "clashes": [asdict(one) for one in review.clashes],
        "notes": [asdict(note) for note in review.notes],
        "steps": [_step(one) for one in review.steps],
    }


def _step(one: StepReview) -> dict[str, Any]:
    return {
        "step": one.number,
        "event": one.seq,
        "at": one.at,
        "pack": one.pack,
        "ask": one.ask,
        "kind": one.kind,
        "title": one.title,
        "told": one.say,
        "asked": one.asked,
        "as_asked": one.as_asked,
        "skipped": one.skipped,
        "taken_back": one.taken_back,
        "regret_minutes": _figure(one.regret),
        "doubt_minutes": _figure(one.doubt),
        "difference_minutes": _figure(one.difference),
        "verdict": one.verdict,
        "expected_minutes": _figure(one.expected),
        "best_minutes": _figure(one.best),
        "solved": one.solved,
        "turned_minutes": None if one.turned is None else _figure(one.turned),
        "minutes": one.minutes,
        "wait": one.wait,
        "took": one.took,
        "flags": list(one.flags),
        "notes": [asdict(note) for note in one.notes],
    }


def _figure(minutes: float) -> float:
    # Sums of rounding errors are no figures.
    return round(minutes, 6) + 0.0
