"""Walking by given answers: a map from what may be asked to what would be told."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from nextprobe.errors import ToldError, UsageError
from nextprobe.walk.ask import Ask
from nextprobe.walk.walk import Walk

NOT_THERE = "not in the answers"
#: A walk that asks more often than this is going round in circles.
LONGEST = 1000


def play(walk: Walk, answers: Mapping[str, str], on_step: Callable[[Ask, str | None], None] | None = None) -> None:
    """Answer every ask until the walk is done; `on_step(ask, answer)` is called before each answer.

    An id that is not in the answers is skipped. With `cause` among them repairs answer by themselves and
    checks pass. Raises UsageError that names the id whose answer cannot be taken.
    """
    for _ in range(LONGEST):
        ask = walk.ask()
        if ask.kind == "done":
            return
        answer = answer_to(walk, ask, answers)
        if on_step is not None:
            on_step(ask, answer)
        for remark in ask.look_for:
            if remark.id in answers and remark.id not in walk.remarks:
                walk.remark(remark.id)
        if answer is None:
            walk.skip(ask.id, NOT_THERE)
            continue
        try:
            walk.tell(ask.id, answer)
        except ToldError as error:
            raise UsageError(
                f"The answer {answer!r} to {ask.id!r} cannot be taken: {error.message}", error.cure
            ) from None
    raise UsageError("The walk does not come to an end with these answers.", "Please report it with the answers file.")


def answer_to(walk: Walk, ask: Ask, answers: Mapping[str, str]) -> str | None:
    """What the answers say to `ask`; None where they say nothing."""
    cause = answers.get("cause")
    if ask.id == "seen":
        return _result(walk, walk.proving, answers)
    if ask.kind == "repair":
        told = answers.get(ask.id)
        if told in ("gone", "still", "not_gone") or (told is None and cause is not None):
            return "done"
        return told
    if ask.id in answers:
        return answers[ask.id]
    if ask.kind == "refer":
        return "done"
    if ask.kind == "check" and cause is not None:
        return ask.choices[0].id
    return None


def _result(walk: Walk, repair: str, answers: Mapping[str, str]) -> str | None:
    told = answers.get(repair)
    if told in ("gone", "still", "not_gone"):
        return told
    cause = answers.get("cause")
    if cause is None:
        return None
    return "gone" if walk.pack.repairs[repair].fixes.get(cause, 0.0) > 0 else "still"
