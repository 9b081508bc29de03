"""The fold: one event and the state before it give the state after it.

An event says what a person told, skipped, remarked or did; it carries the bench after it and the minutes
it took, so that replaying a record needs no planner and gives the same state.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from nextprobe.pack.pack import Measurement, Pack, Repair
from nextprobe.walk.ask import Ending, Step
from nextprobe.walk.state import Bar, Evidence, Proof, State, Told

Data = Mapping[str, Any]


def apply(pack: Pack, state: State, kind: str, data: Data, *, closing_open: Mapping[str, bool]) -> State:
    """The state after one event. closing_open: for each check, whether this shop can make it here."""
    match kind:
        case "told":
            return _told(pack, state, data, closing_open)
        case "skipped":
            return _skipped(pack, state, data)
        case "bench_set":
            return replace(state, bench=dict(data["bench"]))
        case "remarked":
            known = state.remarks if data["remark"] in state.remarks else (*state.remarks, data["remark"])
            return replace(state, remarks=known, offered=state.offered | {data["remark"]})
        case "ticked":
            one = frozenset({(str(data["ask"]), int(data["step"]))})
            return replace(state, ticked=state.ticked | one if data["done"] else state.ticked - one)
        case "noted":
            return replace(state, notes=(*state.notes, data["text"]))
        case "left":
            return replace(state, ending=Ending("left", data.get("reason") or "The job was left."))
        case _:
            return state


def _told(pack: Pack, state: State, data: Data, closing_open: Mapping[str, bool]) -> State:
    id_, kind, told = data["ask"], data["kind"], data["told"]
    step = Step(
        ask=id_, kind=kind, title=data["title"], told=told, say=data["say"], minutes=data["minutes"],
        wait=data["wait"], money=data["money"], bench=dict(data["bench"]), took=data.get("took"),
    )  # fmt: skip
    skipped = {key: reason for key, reason in state.skipped.items() if key != id_}
    state = replace(
        state,
        bench=dict(data["bench"]),
        minutes=state.minutes + data["minutes"],
        wait=state.wait + data["wait"],
        money=state.money + data["money"],
        # What was brought from another pack stands in the path already.
        path=state.path if data.get("carried") else (*state.path, step),
        skipped=skipped,
        ticked=frozenset(one for one in state.ticked if one[0] != id_),
        offered=state.offered | set(data.get("offered", ())),
        followers=tuple(key for key in state.followers if key != id_),
    )
    match kind:
        case "option":
            options = {**state.options, id_: told}
            return replace(state, options=options, unknown_options=state.unknown_options - {id_})
        case "history":
            item = Evidence(id_, "history", told)
            fact = Told(told, repairs=len(state.tried))
            # The owner's story is of the machine as it came in, so it stands before every repair.
            evidence = (item, *(other for other in state.evidence if other.id != id_))
            return replace(state, evidence=evidence, told={**state.told, id_: fact})
        case "measure":
            return _measured(pack, state, pack.measurements[id_], data)
        case "check":
            return _checked(pack, state, id_, data)
        case "repair":
            return _repaired(pack, state, pack.repairs[id_], told, closing_open)
        case "refer":
            skill = data.get("skill", "")
            what = "handed_over" if skill else "referred"
            return replace(state, ending=Ending(what, data.get("why", ""), skill=skill))
        case _:
            return state


def _measured(pack: Pack, state: State, measurement: Measurement, data: Data) -> State:
    id_ = measurement.id
    outcomes = {str(key): float(share) for key, share in data["outcomes"].items()}
    best = max(outcomes, key=lambda key: outcomes[key])
    # A retake replaces the reading of the same machine state; after a repair it counts beside it.
    evidence = tuple(
        item for item in state.evidence if not (item.id == id_ and item.kind == "measure" and item.epoch == state.epoch)
    )
    item = Evidence(id_, "measure", best, tuple(outcomes.items()), state.epoch)
    state = replace(
        state,
        evidence=(*evidence, item),
        told={**state.told, id_: Told(best, data.get("value"), data["told"], len(state.tried))},
    )
    pending = tuple(key for key in data.get("followers", ()) if key not in state.followers)
    state = replace(state, followers=(*state.followers, *pending))
    return _consequences(pack, state, measurement, best)


def _consequences(pack: Pack, state: State, measurement: Measurement, best: str) -> State:
    """What an outcome leaves behind: the bench as it is now, bars, a stop, the other pack."""
    outcome = measurement.outcomes[best]
    if outcome.leaves:
        state = replace(state, bench={**state.bench, **outcome.leaves})
    if outcome.bars:
        bar = Bar(outcome.bars, outcome.until, measurement.id)
        bars = tuple(old for old in state.bars if old.by != measurement.id)
        state = replace(state, bars=(*bars, bar))
    else:
        state = replace(state, bars=tuple(old for old in state.bars if old.by != measurement.id))
    if outcome.see_also:
        state = replace(state, see_also=outcome.see_also)
    if outcome.stop:
        stop = pack.stops[outcome.stop]
        state = replace(state, ending=Ending("stopped", f"{stop.signal}: {stop.say}"))
    return state


def _checked(pack: Pack, state: State, id_: str, data: Data) -> State:
    told = data["told"]
    if id_ == "seen":
        return _seen(state, gone=told == "gone")
    failed = data.get("failed", told == "failed")
    state = replace(state, told={**state.told, id_: Told("failed" if failed else "passed", data.get("value"), told)})
    if state.proof is None:
        return state
    queue = tuple(key for key in state.proof.queue if key != id_)
    if failed:
        return _seen(state, gone=False)
    return replace(state, proof=replace(state.proof, queue=queue), proven=(*state.proven, id_))


def _repaired(pack: Pack, state: State, repair: Repair, told: str, closing_open: Mapping[str, bool]) -> State:
    tried = (*(key for key in state.tried if key != repair.id), repair.id)
    state = replace(state, tried=tried)
    if told == "ruined":
        return replace(
            state, ending=Ending("referred", f"The board was lost during: {repair.title}.", repair=repair.id)
        )
    if told == "given_up":
        return state
    if told == "still":
        return _result(state, repair.id, gone=False)
    prove = list(repair.prove) if "seen" in repair.prove else ["seen", *repair.prove]
    queue = list(dict.fromkeys([*prove, *pack.closing]))
    not_proved = tuple(key for key in queue if key != "seen" and not closing_open[key])
    open_queue = tuple(key for key in queue if key not in not_proved)
    # Done counts as told at once: a bar that this repair lifts must not stand in the way of its own proof.
    untold = {key: value for key, value in state.told.items() if key not in queue} | {repair.id: Told("done")}
    skipped = {key: reason for key, reason in state.skipped.items() if key not in queue}
    state = replace(
        state, told=untold, skipped=skipped, proof=Proof(repair.id, open_queue), proven=(), not_proved=not_proved
    )
    return _seen(state, gone=True) if told == "gone" else state


def _seen(state: State, *, gone: bool) -> State:
    if state.proof is None:
        return state
    repair = state.proof.repair
    if not gone:
        # A failed check after "gone" counts as still: the earlier result no longer stands.
        evidence = tuple(item for item in state.evidence if not (item.kind == "repair" and item.id == repair))
        return _result(replace(state, evidence=evidence, proof=None, proven=(), not_proved=()), repair, gone=False)
    queue = state.proof.queue
    rest = queue[queue.index("seen") + 1 :] if "seen" in queue else queue
    state = replace(state, proof=Proof(repair, rest, True), proven=(*state.proven, "seen"))
    return _result(state, repair, gone=True)


def _result(state: State, repair: str, *, gone: bool) -> State:
    item = Evidence(repair, "repair", "gone" if gone else "still", epoch=state.epoch)
    told = {**state.told, repair: Told(item.told)}
    return replace(state, evidence=(*state.evidence, item), epoch=state.epoch + (0 if gone else 1), told=told)


def _skipped(pack: Pack, state: State, data: Data) -> State:
    id_, kind = data["ask"], data["kind"]
    step = Step(id_, kind, data["title"], "", data["reason"], 0.0, 0.0, 0.0, dict(state.bench), skipped=True)
    state = replace(
        state,
        path=(*state.path, step),
        skipped={**state.skipped, id_: data["reason"]},
        followers=tuple(key for key in state.followers if key != id_),
    )
    if kind == "option":
        return replace(state, unknown_options=state.unknown_options | {id_})
    if kind == "check" and state.proof is not None:
        queue = tuple(key for key in state.proof.queue if key != id_)
        if id_ == "seen":
            # Nobody looked: the repair is neither proved nor disproved, so it says nothing.
            return replace(state, proof=None, not_proved=(*state.not_proved, id_))
        return replace(state, proof=replace(state.proof, queue=queue), not_proved=(*state.not_proved, id_))
    if kind == "refer":
        return replace(state, ending=Ending("left", data["reason"] or "Quoting was skipped and nothing else is left."))
    return state
