"""From a store to the cases of one pack; what cannot be used is counted with its reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import TYPE_CHECKING, Any

from nextprobe.errors import NextprobeError
from nextprobe.interchange.replay import Replay, live
from nextprobe.learn.case import Case, GoodReading, Timing
from nextprobe.model.bench import full_state
from nextprobe.pack.pack import Pack
from nextprobe.record.events import Event, is_rehearsal
from nextprobe.record.jobs import Job
from nextprobe.record.whole import IN_A_PACK, record_problems
from nextprobe.walk.carry import Earlier
from nextprobe.walk.fold import apply
from nextprobe.walk.open_steps import effective_options
from nextprobe.walk.state import Evidence, State

if TYPE_CHECKING:
    from nextprobe.record.store import Store

#: Why a job teaches nothing, in the order in which it is looked at.
OTHER, OPEN, REHEARSAL, BROKEN, UNREADABLE = (
    "of another pack",
    "not ended yet",
    "that were rehearsals",
    "with a record that is not sound",
    "that cannot be replayed",
)


@dataclass(frozen=True)
class Gathered:
    """The cases, oldest first; how many jobs were left out, by reason; how many are of another version of the pack."""

    cases: tuple[Case, ...]
    left_out: Mapping[str, int]
    older: int = 0


def gather(
    store: Store, pack: Pack, *, rehearsals: bool = False, say: Callable[[int, int], None] = lambda done, of: None
) -> Gathered:
    """The ended jobs of `pack` in `store`, whatever its version and board. say: told how many jobs are through.

    Raises StoreError where the store cannot be read at all.
    """
    left: Counter[str] = Counter()
    cases: list[Case] = []
    older = 0
    replay = Replay(store.pack_text)
    jobs = sorted(store.jobs(), key=lambda job: (job.opened, job.id))
    for done, job in enumerate(jobs):
        say(done, len(jobs))
        case = _case(store, replay, pack, job, rehearsals)
        if isinstance(case, str):
            left[case] += 1
        else:
            cases.append(case)
            older += job.pack_hash != pack.hash
    return Gathered(tuple(cases), dict(left), older)


def _case(store: Store, replay: Replay, pack: Pack, job: Job, rehearsals: bool) -> Case | str:
    """The job as a case, or why it is none."""
    if job.pack_id != pack.id:
        return OTHER
    if job.state != "ended":
        return OPEN
    try:
        events = store.events(job.id)
    except NextprobeError:
        return BROKEN
    if not rehearsals and is_rehearsal(events):
        return REHEARSAL
    if not events or record_problems(job, events):
        return BROKEN
    try:
        return case_of(pack, replay.pack, job, events)
    except (NextprobeError, LookupError, TypeError, ValueError, AttributeError):
        return UNREADABLE


def case_of(pack: Pack, kept: Callable[[str], Pack], job: Job, events: Sequence[Event]) -> Case:
    """What a sound record tells; kept: gives the pack of a hash. Raises what a record out of shape raises."""
    last = max(place for place, event in enumerate(events) if event.kind in IN_A_PACK)
    start = events[last].data
    own = pack if start["hash"] == pack.hash else kept(start["hash"])
    earlier = Earlier.of_data(start["earlier"]) if "earlier" in start else Earlier()
    state = earlier.start(full_state(own.bench, start["bench"]), dict(start["options"]))
    carried = [("told", one) for one in start.get("carried", ())]
    told = [(event.kind, event.data) for event in live(events[last:])]
    checks = {key: True for key, one in own.measurements.items() if one.is_check}
    for kind, data in [*carried, *told]:
        state = apply(own, state, kind, data, closing_open=checks)
    evidence = tuple(_known(pack, state.evidence))
    return Case(
        job=job.id,
        symptom=str(start["symptom"]),
        options=tuple(sorted(_options(pack, own, state).items())),
        evidence=evidence,
        ending=job.ending,
        day=job.opened[:10],
        board=str(start["board"]),
        timings=tuple(_timings(own, [data for kind, data in told if kind == "told"])),
        good=tuple(_good(pack, [data for kind, data in told if kind == "told"], job.ending)),
        dropped=len(state.evidence) - len(evidence),
    )


def _options(pack: Pack, own: Pack, state: State) -> dict[str, str]:
    """What is known of the machine, as far as the pack that learns has it."""
    held = effective_options(own, state).items()
    return {key: value for key, value in held if key in pack.options and value in pack.options[key].values}


def _known(pack: Pack, evidence: Sequence[Evidence]) -> Iterator[Evidence]:
    """What the pack still knows, without outcomes that it has no more."""
    for one in evidence:
        if one.kind == "measure":
            measured = pack.measurements.get(one.id)
            if measured is None or measured.is_check:
                continue
            left = tuple((key, share) for key, share in one.outcomes if key in measured.outcomes and share > 0)
            if left:
                yield replace(one, outcomes=left, epoch=0)
        elif one.id in (pack.history if one.kind == "history" else pack.repairs):
            yield replace(one, epoch=0)


def _timings(own: Pack, told: Sequence[Mapping[str, Any]]) -> Iterator[Timing]:
    """Steps that took other minutes than the pack says, or were timed; none with unattended waiting among them."""
    for data in told:
        if data.get("carried") or data["wait"] > 0:
            continue
        moves = float(data["move_minutes"])
        took = data.get("took")
        if took is None and abs(data["minutes"] - moves - _planned(own, data)) > 1e-6:
            took = data["minutes"]
        if took is not None and isfinite(took) and took > 0:
            yield Timing(str(data["ask"]), moves, float(took))


def _planned(own: Pack, data: Mapping[str, Any]) -> float:
    """The pack's own minutes of a step; what was told where it has none."""
    found = own.measurements.get(data["ask"]) or own.repairs.get(data["ask"])
    return found.minutes if found is not None else float(data["minutes"] - data["move_minutes"])


def _good(pack: Pack, told: Sequence[Mapping[str, Any]], ending: str) -> Iterator[GoodReading]:
    """The last figure of each measurement on a board that a repair made good; those behind that repair come first."""
    repairs = [place for place, data in enumerate(told) if data["kind"] == "repair"]
    if ending != "repaired" or not repairs:
        return
    latest: dict[str, GoodReading] = {}
    for place, data in enumerate(told):
        measured = pack.measurements.get(data["ask"])
        value = data.get("value")
        if measured is not None and measured.quantity and value is not None and isfinite(value):
            latest[measured.id] = GoodReading(measured.id, float(value), place > repairs[-1])
    yield from latest.values()
