"""One answer: how it is understood, and what the record keeps of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from nextprobe.errors import NotAllowedError, UnreadableError
from nextprobe.pack.pack import Pack
from nextprobe.walk import reading as r
from nextprobe.walk.acts import Acts
from nextprobe.walk.ask import MoveStep, Taken
from nextprobe.walk.open_steps import OpenSteps
from nextprobe.walk.show import remarks_visible
from nextprobe.walk.situation import check_option, near
from nextprobe.walk.state import State


def take(pack: Pack, state: State, lacks: Collection[str], id: str, text: str) -> Taken:
    """How an answer would be understood in `state`, whose options are all that are known. Raises ToldError."""
    if not text.strip():
        raise UnreadableError("Nothing was told.", "Type a figure, an answer or its number.")
    if id == "seen":
        if state.proof is None or state.proof.gone is not None:
            raise NotAllowedError("No repair is being proved.", "Tell the repair first.")
        return r.take_choice(id, "check", text, r.SEEN_CHOICES)
    if id == "refer":
        return r.take_choice(id, "refer", text, r.REFER_CHOICES)
    if id in pack.options:
        choices = r.option_choices(pack.options[id])
        taken = r.take_choice(id, "option", text, choices)
        check_option(pack, id, taken.told)
        return taken
    if id in pack.history:
        return r.take_choice(id, "history", text, r.FACT_CHOICES)
    if id in pack.repairs:
        if state.proof is not None and state.proof.gone is None and text.strip() in ("gone", "still"):
            raise NotAllowedError("A repair is being proved.", "Tell 'seen' whether the symptom is gone.")
        return r.take_choice(id, "repair", text, (*r.REPAIR_CHOICES, *r.SEEN_CHOICES))
    if id in pack.measurements:
        return r.take_measurement(pack, pack.measurements[id], state, lacks, text)
    known = [*pack.options, *pack.history, *pack.measurements, *pack.repairs]
    raise NotAllowedError(f"The pack {pack.id!r} has nothing called {id!r}.{near(id, known)}", "Check the id.")


def telling(
    steps: OpenSteps, acts: Acts, taken: Taken, moves: Sequence[MoveStep], cost: tuple[float, float, float]
) -> dict[str, Any]:
    """What the record keeps of an answer; cost: minutes of the step itself, unattended minutes, money."""
    id = taken.id
    bench = dict(moves[-1].bench if moves else acts.state.bench)
    move_minutes = sum(move.minutes for move in moves)
    data: dict[str, Any] = {
        "ask": id,
        "kind": taken.kind,
        "title": acts.title(id),
        "told": taken.told,
        "outcomes": dict(taken.outcomes),
        "say": taken.say,
        "moves": [move.id for move in moves],
        "move_minutes": move_minutes,
        "minutes": move_minutes + cost[0],
        "wait": cost[1],
        "money": cost[2],
        "bench": bench,
        "offered": [remark.id for remark in remarks_visible(steps, bench)],
    }
    if taken.value is not None and taken.value == taken.value and abs(taken.value) != float("inf"):
        data["value"] = taken.value
    if taken.kind == "check" and id in acts.pack.measurements:
        data["failed"] = r.check_failed(acts.pack.measurements[id], taken)
    return data
