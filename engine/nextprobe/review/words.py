"""The sentences of a review, shared by its forms."""

from __future__ import annotations

from nextprobe.review.review import COST, HARDLY, Note, Review, StepReview, minutes_words

#: Minutes of luck below this are as could be expected.
AS_EXPECTED = 1.0
SAFE = "Minutes say nothing of safety: local codes, the maker's instructions and licensed practice come first."
READ = (
    "Cost: what the step and all that follows were expected to take, less what the step that was asked was, with what"
    " was known then. Turned out: what came of a step against what could be expected of it; nobody's merit or fault."
)


def title(review: Review) -> str:
    """The head of the whole."""
    return f"Review of job {review.job}"


def facts(review: Review) -> list[tuple[str, str]]:
    """What the job is about, in pairs of word and text."""
    ended = f"{review.ending.capitalize()}. {review.why}".strip() if review.ending else "Still open: how it stands."
    found = [("Pack", "; then ".join(review.packs)), ("Symptom", review.symptom)]
    found += [("Machine", review.machine)] if review.machine else []
    found += [(role.capitalize(), name) for role, name in review.people if role not in ("owner",)]
    return [*found, ("Ending", ended)]


def warnings(review: Review) -> list[str]:
    """What must be read first."""
    found = [f"The record of this job is not as it was written: {' '.join(review.broken)}"] if review.broken else []
    if review.left:
        found.append(f"There was no time to price {review.left} of {len(review.steps)} steps: give more --seconds.")
    return found


def in_short(review: Review) -> list[str]:
    """The few lines that matter first."""
    judged = [one for one in review.steps if one.counts and one.priced and not one.skipped]
    if not judged:
        return ["No step was priced." if review.steps else "Nothing was told yet."]
    other = sum(not one.as_asked for one in judged)
    lines = [
        f"All {len(judged)} steps are the ones that were asked: no minutes lost by choice."
        if not other and not review.costly
        else f"{len(judged) - other} of {len(judged)} steps are the ones that were asked. {lost(review)}"
    ]
    lines.append(f"Luck, apart from it: the job turned out {turned_words(review.turned)}.")
    if review.clocked:
        clock = sum(one.took or 0.0 for one in review.clocked)
        plan = sum(one.minutes for one in review.clocked)
        wait = sum(one.wait for one in review.clocked)
        beside = f" and {minutes_words(wait)} unattended" if wait >= HARDLY else ""
        some = f" (at {len(review.clocked)} of {len(judged)} steps)" if len(review.clocked) < len(judged) else ""
        lines.append(f"By the clock {minutes_words(clock)}, by the pack {minutes_words(plan)}{beside}{some}.")
    return lines


def lost(review: Review) -> str:
    """The minutes lost by choice, and their doubt."""
    close = sum(one.counts and one.priced and one.close and not one.as_asked for one in review.steps)
    tail = f" {close} more {'is' if close == 1 else 'are'} too close to say." if close else ""
    if not review.costly:
        return f"None of the others is known to have cost anything.{tail}"
    count = len(review.costly)
    which = "One step" if count == 1 else f"{count} steps"
    return f"{which} cost {minutes_words(review.regret)}{give_or_take(review.doubt)}.{tail}"


def give_or_take(doubt: float) -> str:
    """A doubt in words; "" for hardly any."""
    return f", give or take {minutes_words(doubt)}" if doubt >= HARDLY else ""


def turned_words(turned: float) -> str:
    """Luck in words."""
    if abs(turned) < AS_EXPECTED:
        return "about as could be expected"
    return f"{minutes_words(abs(turned))} {'worse' if turned > 0 else 'better'} than could be expected"


def noticed(one: StepReview) -> bool:
    """Whether a step turned out so much better or worse that it is worth a word."""
    return one.turned is not None and one.counts and abs(one.turned) >= AS_EXPECTED


def costly(one: StepReview) -> str:
    """A step that cost more, and what came first."""
    left = "left out, " if one.skipped else ""
    first = "" if one.as_asked or not one.asked else f" Asked was: {one.asked_title}."
    return f"{one.number}. {one.title}: {left}{one.verdict}{give_or_take(one.doubt)}.{first}"


def to_talk_about(review: Review) -> list[str]:
    """What else there is: readings that fought, repairs too early, cautions, order."""
    found = []
    for clash in review.clashes:
        again = f" It was taken again at step {clash.again}." if clash.again else " It was not taken again."
        found.append(
            f"At step {clash.number} the readings fought. Likeliest wrong: {clash.title}"
            f" ({100 * clash.wrong:.0f} in 100).{again}"
        )
    for one in review.steps:
        found += [f"{one.number}. {one.title}: {flag}" for flag in one.flags if one.counts or "cautions" in flag]
    return found


def step_words(one: StepReview) -> str:
    """The verdict, with what was asked where that was another step."""
    found = one.verdict
    if one.verdict.startswith(COST):
        found += give_or_take(one.doubt)
    if one.skipped and one.verdict != "left out":
        found = f"left out: {found}"
    if not one.as_asked and one.asked and one.counts:
        found += f"; asked was: {one.asked_title}"
    return found


def note_words(note: Note, review: Review) -> str:
    """A note with who wrote it."""
    return f"{dict(review.people).get(note.by, note.by)}, {note.at[:10]}: {note.text}"
