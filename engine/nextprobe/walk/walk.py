"""The walk: ask, tell, skip, undo, until an ending.

Every change is an event. It goes to the sink first (to be made durable), then the state is folded on.
Asking changes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from copy import copy
from dataclasses import replace
from math import inf
from typing import Any

from nextprobe.errors import NotAllowedError, ToldError, UnreadableError
from nextprobe.model.bench import full_state
from nextprobe.model.machine import check_machine
from nextprobe.pack.pack import Pack
from nextprobe.walk.acts import Acts
from nextprobe.walk.ask import Ask, Ending, Taken
from nextprobe.walk.beliefs import Beliefs
from nextprobe.walk.carry import Earlier, GoneOver, Heard, brought, fitting
from nextprobe.walk.decide import Decider
from nextprobe.walk.fold import apply
from nextprobe.walk.foresight import Beside, Foresight
from nextprobe.walk.next_step import next_ask
from nextprobe.walk.open_steps import OpenSteps
from nextprobe.walk.posing import Posing
from nextprobe.walk.situation import Situation, make_situation, near
from nextprobe.walk.state import State
from nextprobe.walk.telling import take, telling

Event = tuple[str, dict[str, Any]]
Sink = Callable[[str, dict[str, Any]], None]


#: Events after which the same step still stands.
SAME_STEP = ("ticked", "noted", "remarked")


class Walk(Posing):
    """One guided run through a pack on one machine.

    symptom: may be left out where the pack has one. options: what is known of the machine beside the
    board sheet. lacks: instruments and skills that are not here. limit: the owner's, in the pack's currency.
    bench: the bench as the machine arrived. sink: called with every event before it counts.

    Raises SituationError where the pack does not know what is given.
    """

    def __init__(
        self,
        pack: Pack,
        symptom: str | None = None,
        options: Mapping[str, str] | None = None,
        lacks: Iterable[str] = (),
        limit: float | None = None,
        bench: Mapping[str, str] | None = None,
        *,
        sink: Sink | None = None,
    ) -> None:
        self._begin(
            pack, make_situation(pack, symptom, options, lacks, limit), full_state(pack.bench, bench), Earlier()
        )
        self._sink = sink
        if sink is not None:
            self.record_into(sink)

    def _begin(self, pack: Pack, situation: Situation, bench: dict[str, str], earlier: Earlier) -> None:
        check_machine(pack, situation.symptom, situation.options)
        self.pack, self.situation = pack, situation
        self._start, self._earlier = bench, earlier
        self._beliefs, self.decider = Beliefs(pack, situation.symptom), Decider(pack, situation.symptom)
        self._beside: Beside | None = None
        self._live: list[Event] = []
        self._state = earlier.start(bench, dict(situation.options))
        self._ask: Ask | None = None
        self._planned = ""  # the step that was planned ahead for the state as it is
        self._closed = False
        self._spent = 0.0  # minutes of moves whose step was taken back: they were made all the same
        self.bench_in_doubt = False

    def record_into(self, sink: Sink, *, fresh: bool = True) -> None:
        """From now on every event goes to `sink`; `fresh`: with the start itself, where nothing came after it."""
        self._sink = sink
        if fresh:
            sink("started", self._started())

    def events(self) -> list[Event]:
        """The start and what was told since, for a walk in one pack: what a record of it begins with."""
        return [("started", self._started()), *self._live]

    def _started(self) -> dict[str, Any]:
        return {
            "pack": self.pack.id,
            "version": self.pack.version,
            "hash": self.pack.hash,
            "board": self.pack.board.id if self.pack.board else "",
            "symptom": self.situation.symptom,
            "options": dict(self.situation.options),
            "lacks": sorted(self.situation.lacks),
            "limit": self.situation.limit,
            "bench": dict(self._start),
        }

    @classmethod
    def replay(cls, pack: Pack, events: Iterable[Event], sink: Sink | None = None) -> Walk:
        """The walk that these events made; only new events go to the sink.

        `pack` is that of the last ``went_over`` among them, if there is one; what came before it is not replayed.
        """
        walk: Walk | None = None
        events = list(events)
        last = max((place for place, (kind, _) in enumerate(events) if kind == "went_over"), default=0)
        for kind, data in events[last:]:
            if kind == "started":
                walk = cls(pack, data["symptom"], data["options"], data["lacks"], data["limit"], data["bench"])
            elif kind == "went_over":
                walk = cls._gone_over(pack, data)
            elif walk is None:
                raise UnreadableError("The record does not begin with a start.", "It cannot be replayed.")
            else:
                walk._take_in(kind, data)
        if walk is None:
            raise UnreadableError("The record is empty.", "It cannot be replayed.")
        walk._sink = sink
        return walk

    @classmethod
    def _gone_over(cls, pack: Pack, data: Mapping[str, Any]) -> Walk:
        walk = cls(pack, data["symptom"], data["options"], data["lacks"], data["limit"], data["bench"])
        walk._go_on(pack, walk.situation, walk._start, Earlier.of_data(data["earlier"]), data["carried"])
        return walk

    def _go_on(
        self,
        pack: Pack,
        situation: Situation,
        bench: dict[str, str],
        earlier: Earlier,
        carried: Sequence[dict[str, Any]],
    ) -> None:
        self._begin(pack, situation, bench, earlier)
        for told in carried:
            self._take_in("told", told)

    def replay_on(self, kind: str, data: dict[str, Any]) -> None:
        """Take in the next event of a record, none that starts or goes over, as replay does; nothing is recorded."""
        self._take_in(kind, data)

    @property
    def ending(self) -> Ending | None:
        """How the walk ended; None while it goes on."""
        return self.ask().ending

    def _acts(self) -> Acts:
        steps = self._steps()
        return Acts(steps, self.decider.graph(steps))

    # -- asking ------------------------------------------------------------------------------------

    def ask(self) -> Ask:
        """The step to do next; kind ``done`` with the ending when there is none."""
        if self._ask is None:
            self.decider.begin(self._planned)
            self._ask = ask = next_ask(self._steps(), self._beliefs, self.decider)
            ahead = self.decider.ahead
            if ahead is not None and self._sink is not None and ask.kind != "done":
                # Planned anew with less time it might be another step; whoever takes the job up is to find this one.
                self._record("planned", {"ask": ahead.id, "kind": ahead.kind})
                self._ask = ask
        return self._ask

    @property
    def asked(self) -> Ask | None:
        """The step to do next where it is worked out already; None where `ask` still has to."""
        return self._ask

    def keep_step(self) -> None:
        """Record the step that the plan chose, so that whoever takes the job up has it in sight at once."""
        made, ask = self.decider.made, self._ask
        if ask is None or ask.kind == "done" or made is None or made.id == self._planned or self._sink is None:
            return
        self._record("planned", {"ask": made.id, "kind": made.kind})
        self._ask = ask

    def take(self, id: str, text: str) -> Taken:
        """How an answer would be understood; nothing changes. Raises ToldError."""
        return take(self.pack, replace(self._state, options=self._options()), self.situation.lacks, id, str(text))

    # -- telling -----------------------------------------------------------------------------------

    def tell(
        self, id: str, text: str, minutes: float | None = None, took: float | None = None, *, by: str = ""
    ) -> Taken:
        """Tell a reading, an answer or a result. `minutes`: hands-on, where they differ from the pack's.

        took: minutes by the clock, moves among them; they stand in the record beside the pack's. by: ``meter`` where
        no person typed it; it stands in the record.
        Raises ToldError; the walk is then unchanged.
        """
        self._refuse_when_ended()
        taken = self.take(id, text)
        acts = self._acts()
        hands_on, wait, money = acts.cost(id)
        moves = acts.moves(id)
        cost = (hands_on if minutes is None else float(minutes), wait, money)
        data = telling(self._steps(), acts, taken, moves, cost)
        if took is not None and 0 <= took < inf:
            data["took"] = round(took, 2)
        if by:
            data["by"] = by
        if self._ask is not None:
            # A deeper plan may have asked for another step than the quick one that a review makes anew.
            data["asked"] = self._ask.id
        if taken.kind == "measure":
            data["followers"] = [m.id for m in self._steps().followers(id)]
        if taken.kind == "refer":
            # Why it is quoted is the planner's word; whoever quotes unasked has a reason of their own.
            ask = self.ask()
            data["skill"], data["why"] = (ask.skill, ask.why) if ask.kind == "refer" else ("", "Quoted by choice.")
        self._record("told", data)
        return taken

    def skip(self, id: str, reason: str = "") -> None:
        """Leave a step out; it says nothing of causes. Raises NotAllowedError for an unknown id."""
        self._refuse_when_ended()
        acts = self._acts()
        self._record("skipped", {"ask": id, "kind": acts.kind(id), "title": acts.title(id), "reason": reason})

    def undo(self) -> str:
        """Take back the last answer or skip; the bench stays as it is. Returns its id."""
        data = next((data for kind, data in reversed(self._live) if kind in ("told", "skipped")), None)
        if data is None:
            raise NotAllowedError("Nothing was told yet.", "There is nothing to take back.")
        self._record("undone", {"ask": data["ask"]})
        return str(data["ask"])

    def tick(self, id: str, step: int, *, done: bool = True) -> str:
        """Tick off a step of a repair, or take the tick back; what the step says. Raises NotAllowedError."""
        self._refuse_when_ended()
        steps = self.pack.repairs[id].steps if id in self.pack.repairs else ()
        if not 1 <= step <= len(steps):
            raise NotAllowedError(
                f"There is no step {step} to tick off.",
                f"Give a number from 1 to {len(steps)}." if steps else "Only the steps of a repair are ticked off.",
            )
        self._record("ticked", {"ask": id, "step": step, "done": done, "say": steps[step - 1]})
        return steps[step - 1]

    def remark(self, id: str) -> None:
        """Record a remark for the owner's report."""
        if id not in self.pack.remarks:
            raise NotAllowedError(
                f"The pack has no remark {id!r}.{near(id, self.pack.remarks)}",
                f"It has: {', '.join(self.pack.remarks)}. Anything else goes into a note.",
            )
        self._record("remarked", {"remark": id})

    def note(self, text: str) -> None:
        """Record a note in plain words, as what it was in the end."""
        if not text.strip():
            raise UnreadableError("The note is empty.", "Type what is to be kept.")
        self._record("noted", {"text": text.strip()})

    def set_bench(self, changes: Mapping[str, str]) -> None:
        """The bench as it really is: conditions that differ from what the walk believes."""
        full_state(self.pack.bench, changes)
        self._record("bench_set", {"bench": {**self._state.bench, **changes}})

    def go_over(self, pack: Pack, symptom: str | None = None) -> GoneOver:
        """Go on in another pack, with what was told so far as far as it knows it; the job stays one.

        What it knows counts there at once and costs no minutes; all else stays in the record and in the path. Raises
        SituationError where that pack does not fit this machine, and NotAllowedError where the walk has ended.
        """
        self._refuse_when_ended()
        if pack.id == self.pack.id:
            raise NotAllowedError(f"This job is in the pack {pack.id!r} already.", "Go on with the step.")
        earlier = brought(self.pack, self._state, self._earlier, pack)
        sheet = self.pack.board.title if self.pack.board is not None and pack.board is None else ""
        options, lacks, bench = fitting(pack, self.situation, self._state, earlier)
        other = Walk(pack, symptom, options, lacks, self.situation.limit, bench)
        started = other._started()
        other._begin(pack, other.situation, other._start, earlier)
        taken: list[str] = []
        left: list[str] = []
        carried: list[dict[str, Any]] = []
        for one in earlier.heard:
            data = other._carry(one)
            (taken if data is not None or one.id in options else left).append(one.title)
            carried += [data] if data is not None else []
        event = {**started, "from": self.pack.id, "earlier": earlier.as_data(), "carried": carried}
        if self._sink is not None:
            self._sink("went_over", event)
        self._go_on(pack, other.situation, other._start, earlier, carried)
        return GoneOver(pack.title, tuple(taken), tuple(left), sheet)

    def _carry(self, one: Heard) -> dict[str, Any] | None:
        """Take in what was told before, at no cost; its data, None where this pack does not know it so."""
        try:
            if self._acts().kind(one.id) != one.kind or one.kind == "option":
                return None
            taken = self.take(one.id, one.text)
        except ToldError:
            return None
        data = telling(self._steps(), self._acts(), taken, (), (0.0, 0.0, 0.0)) | {"carried": True}
        self._take_in("told", data)
        return data

    def leave(self, reason: str = "") -> None:
        """End the walk here."""
        self._refuse_when_ended()
        self._record("left", {"reason": reason})

    def close(self) -> Ending | None:
        """Record the ending once it is reached, so that the job counts as ended. Returns it."""
        ending = self.ending
        if ending is not None and not self._closed:
            self._record("ended", {"ending": ending.what, "why": ending.why, "cause": ending.cause})
        return ending

    # -- inside ------------------------------------------------------------------------------------

    def _refuse_when_ended(self) -> None:
        if (self._ask is not None and self._ask.kind == "done") or self._state.ending is not None:
            raise NotAllowedError("This walk has ended.", "Take the last answer back first, or start a new job.")

    def _record(self, kind: str, data: dict[str, Any]) -> None:
        if self._sink is not None:
            self._sink(kind, data)
        self._take_in(kind, data)

    def _take_in(self, kind: str, data: dict[str, Any]) -> None:
        self._ask = None
        if kind == "planned":
            self._planned = str(data["ask"])
            return
        if kind not in SAME_STEP:
            self._planned = ""
        if kind == "ended":
            self._closed = True
            return
        if kind == "undone":
            self._undo()
            return
        self.bench_in_doubt = False
        self._live.append((kind, data))
        self._state = self._fold(self._state, kind, data)

    def _fold(self, state: State, kind: str, data: dict[str, Any]) -> State:
        steps = OpenSteps(self.pack, self.situation, state)
        open_ = {key: steps.can_measure(m) for key, m in self.pack.measurements.items() if m.is_check}
        return apply(self.pack, state, kind, data, closing_open=open_)

    def _undo(self) -> None:
        """Fold again without the last answer; the bench and the minutes of the moves stay."""
        place = max(n for n, (kind, _) in enumerate(self._live) if kind in ("told", "skipped"))
        kind, data = self._live.pop(place)
        bench, spent = self._state.bench, 0.0
        state = self._earlier.start(self._start, dict(self.situation.options))
        for old_kind, old in self._live:
            state = self._fold(state, old_kind, old)
        if kind == "told":
            spent = float(data["move_minutes"])
        self._closed = False
        self.bench_in_doubt = dict(bench) != dict(state.bench)
        self._spent += spent
        self._state = replace(state, bench=bench, minutes=state.minutes + self._spent)

    # -- thinking ahead ----------------------------------------------------------------------------

    def think(self, seconds: float, cancel: Callable[[], bool] = lambda: False) -> float | None:
        """Plan more deeply while the step that was asked is being done: the minutes expected by the deeper plan.

        The plan is then followed by the next `ask`, where the answer is one that it foresaw. None where the step was
        not planned. Never beside another call of this walk: for that there is `foresight`.
        """
        self.ask()
        return self.decider.planning.deepen(seconds, cancel)

    def foresight(self) -> Foresight:
        """What thinks ahead from the step at hand, in a thread of its own if wanted; the walk may be told meanwhile."""
        if self._beside is None:
            self._beside = Beside(self)
        return Foresight(self, self._beside)

    def forked(self, decider: Decider) -> Walk:
        """A copy at the same state that records nothing, with a planner of its own."""
        other = copy(self)
        other.decider = decider
        other._live, other._ask, other._sink = list(self._live), None, None
        return other


__all__ = ["Event", "Sink", "Situation", "Walk"]
