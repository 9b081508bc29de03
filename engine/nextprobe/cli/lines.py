"""The words of line mode: an ask, a path, an ending as plain lines of text, 79 columns wide."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.draw.sketch import has_sketch, place_words
from nextprobe.pack.pack import Hazard, Pack
from nextprobe.said import fold, minutes
from nextprobe.walk import Ask, Ending, MoveStep, Step, Walk
from nextprobe.walk.words import bound_words, lead_words, leading, more_words, odds


def cost(ask: Ask, currency: str) -> str:
    """What a step takes: hands-on, waiting beside it, money apart."""
    parts = [minutes(ask.minutes)]
    if ask.wait:
        parts.append(f"then {minutes(ask.wait)} unattended")
    if ask.money:
        parts.append(f"parts {ask.money:g} {currency}".rstrip())
    return ", ".join(parts)


def caution(hazard: Hazard, indent: str) -> list[str]:
    """One caution with its signal word first."""
    return fold(f"{hazard.signal}: {hazard.say}", f"{indent}! ", f"{indent}  ")


def move_lines(moves: tuple[MoveStep, ...]) -> Iterator[str]:
    """Moves, numbered, each behind its cautions."""
    for number, move in enumerate(moves, 1):
        for hazard in move.hazards:
            yield from caution(hazard, "      ")
        yield from fold(f"{move.do} ({minutes(move.minutes)})", f"   {number:>2}. ")


def ask_lines(ask: Ask, walk: Walk) -> Iterator[str]:
    """An ask, in the order of use: what holds, the moves, the cautions, the act, what is normal, the answers."""
    pack = walk.pack
    for notice in ask.notices:
        yield from fold(notice, "! ")
    if ask.retake:
        yield from fold(ask.retake_why + f" (retake {ask.retake})", "? ")
    yield from fold(f"{ask.title}  [{cost(ask, pack.economics.currency)}]", ">> ")
    if ask.moves:
        yield "   First:"
        yield from move_lines(ask.moves)
    for hazard in ask.hazards:
        yield from caution(hazard, "   ")
    if ask.where:
        yield from fold(f"Where: {where_words(ask, walk.pack)}", "   ")
    if ask.how:
        yield from fold(ask.how, "   ")
    if ask.tools:
        yield from fold(f"With: {ask.tools}", "   ")
    for number, step in enumerate(ask.steps, 1):
        yield from fold(f"{step} (done)" if number in ask.ticked else step, f"   {number:>2}. ")
    if ask.normal:
        good = f" (a good board of this kind: {ask.good_board})" if ask.good_board else ""
        yield from fold(f"Normal: {ask.normal}{good}", "   ")
    for remark in ask.look_for:
        yield from fold(f"Look out for, and tell with `remark {remark.id}`: {remark.say}", "   - ")
    yield from choice_lines(ask)
    if ask.most_likely:
        yield from fold(ask.most_likely, "   ")


def where_words(ask: Ask, pack: Pack) -> str:
    """The place in the pack's words, and where that is on the board, where the sheet says it."""
    if pack.board is None or ask.at is None or not has_sketch(pack.board, ask.at):
        return ask.where
    return f"{ask.where} ({place_words(pack.board, ask.at)})"


def choice_lines(ask: Ask) -> Iterator[str]:
    """What may be told, numbered."""
    for number, choice in enumerate(ask.choices, 1):
        band = f" ({choice.band})" if choice.band else ""
        word = f" [{choice.id}]" if choice.id != choice.say.lower().replace(" ", "_") else ""
        yield from fold(f"{choice.say}{band}{word}", f"   {number:>2}  ")


def path_lines(path: tuple[Step, ...], currency: str) -> Iterator[str]:
    """The path taken: what was asked, what was told, the minutes."""
    for number, step in enumerate(path, 1):
        told = f"skipped: {step.say}" if step.skipped else step.say
        money = f", {step.money:g} {currency}" if step.money else ""
        spent = "" if step.skipped else f"  [{minutes(step.minutes)}{money}]"
        yield from fold(f"{step.title}: {told}{spent}", f"{number:>3}. ")


def belief_lines(walk: Walk, most: int = 6) -> Iterator[str]:
    """The causes still believed, as a person says it."""
    for cause, chance in leading(walk.belief())[:most]:
        if chance >= 0.005:
            yield from fold(f"{walk.pack.title_of(cause)}: {odds(chance)}", "   ")


def why_lines(ask: Ask, walk: Walk) -> Iterator[str]:
    """Why this step, what else could be next, and what it may be."""
    if ask.why:
        yield from fold(ask.why)
    elif ask.kind in ("check", "measure"):
        yield from fold("It comes before anything else here: it makes the next steps safe, or it proves the repair.")
    best = ask.ranking[0] if ask.ranking else None
    if best is not None and best.id != ask.id:
        yield from fold(f"It is asked now because of the step it leads to: {best.title}.")
    others = [candidate for candidate in ask.ranking if candidate.id != ask.id][:3]
    if others:
        yield "What else could be next, and what it would cost more:"
        for candidate in others:
            yield from fold(f"{candidate.title}: {more_words(candidate)}", "   ")
    if ask.leads:
        yield "Where it leads:"
        for lead in ask.leads:
            yield from fold(lead_words(walk.pack, lead), "   ", "     ")
    if ask.at_least:
        yield from fold(bound_words(ask.expected, ask.at_least))
    yield "What it may be:"
    yield from belief_lines(walk)


def ending_lines(ending: Ending, pack: Pack) -> Iterator[str]:
    """How it ended: what, why, proven by what, what was not proved, minutes, remarks."""
    yield from fold(f"{ending.what.replace('_', ' ').upper()}. {ending.why}", "== ")
    if ending.cause:
        yield from fold(f"Cause: {pack.title_of(ending.cause)} ({odds(ending.sure)})", "   ")
    if ending.skill:
        yield from fold(f"Hand it to somebody who can do this: {pack.skills[ending.skill].title}", "   ")
    if ending.moves:
        yield "   To hand it back:"
        yield from move_lines(ending.moves)
    if ending.proven:
        yield from fold("Proven by: " + "; ".join(pack.title_of(id_) for id_ in ending.proven), "   ")
    if ending.not_proved:
        yield from fold("NOT proved: " + "; ".join(pack.title_of(id_) for id_ in ending.not_proved), "   ")
    for remark in ending.remarks:
        yield from fold(f"Tell the owner: {pack.title_of(remark)}", "   ")
    for note in ending.notes:
        yield from fold(f"Note: {note}", "   ")
    if ending.what == "unknown" and ending.ruled_out:
        yield from fold("Ruled out: " + "; ".join(pack.title_of(id_) for id_ in ending.ruled_out), "   ")
    money = f", parts {ending.money:g} {pack.economics.currency}" if ending.money else ""
    wait = f", {minutes(ending.wait)} unattended" if ending.wait else ""
    yield f"   Hands-on: {minutes(ending.minutes)}{wait}{money}"
