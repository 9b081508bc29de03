"""A review as plain lines, 79 columns wide."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.review import words
from nextprobe.review.review import Review, StepReview, minutes_words
from nextprobe.said import fold


def review_lines(review: Review) -> Iterator[str]:
    """The lines: the few that matter first, then step by step."""
    head = words.title(review)
    yield head
    yield "=" * len(head)
    for warning in words.warnings(review):
        yield from fold(warning, "! ")
    for word, text in words.facts(review):
        yield from fold(text, f"{word + ':':<12} ")
    yield ""
    for line in words.in_short(review):
        yield from fold(line)
    if review.costly:
        yield from _section("What cost most", [words.costly(one) for one in review.costly[:3]])
    talk = words.to_talk_about(review)
    if talk:
        yield from _section("To talk about", talk)
    if review.notes:
        yield from _section("The trainer on this job", [words.note_words(note, review) for note in review.notes])
    if review.steps:
        yield ""
        yield "Step by step"
    pack = review.steps[0].pack if review.steps else ""
    for one in review.steps:
        if one.pack != pack:
            pack = one.pack
            yield f"  -- went over to the pack {pack}"
        yield from _step(one, review)
    yield ""
    yield from fold(words.READ)
    yield from fold(words.SAFE)


def _step(one: StepReview, review: Review) -> Iterator[str]:
    said = f": {one.say}" if one.say else ""
    yield from fold(f"{one.title}{said}", f"{one.number:>3}. ")
    times = [minutes_words(one.minutes)] if one.minutes else []
    times += [f"by the clock {minutes_words(one.took)}"] if one.took is not None else []
    turned = [f"turned out {words.turned_words(one.turned)}"] if words.noticed(one) and one.turned is not None else []
    yield from fold("; ".join([words.step_words(one), *turned, *times]), "     > ")
    for note in one.notes:
        yield from fold(words.note_words(note, review), "     * ")


def _section(head: str, lines: list[str]) -> Iterator[str]:
    yield ""
    yield head
    for line in lines:
        yield from fold(line, "- ")
