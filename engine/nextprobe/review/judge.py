"""A record gone through event by event: each step beside what would have been asked, priced as it was known then."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from nextprobe.errors import UnreadableError
from nextprobe.interchange.replay import Replay
from nextprobe.plan.policy import Action
from nextprobe.record import Event
from nextprobe.record.whole import IN_A_PACK
from nextprobe.review.care import NOT_OFFERED, offered, out_of_order, unread
from nextprobe.review.lottery import Lottery
from nextprobe.review.place import Fork, Place, Places, fork
from nextprobe.review.pricing import Priced, doubt, price
from nextprobe.review.review import COST, Clash, StepReview
from nextprobe.walk import Ask, Walk
from nextprobe.walk.decide import Posed
from nextprobe.walk.next_step import CONFLICT_BITS, WRONG_CHANCE

#: Places of a plan that each step is priced with at first; of a step as asked, for what came of it; and in the end.
FIRST, AS_ASKED, DEEP = 600, 300, 6_000


@dataclass(frozen=True)
class _Pair:
    """Two steps priced beside one another.

    extra: minutes of the one taken beside its fork; doubt: a share of the minutes of the best that is doubt too.
    """

    number: int
    taken: tuple[Place, Fork]
    best: tuple[Place, Fork]
    extra: float
    doubt: float


@dataclass(frozen=True)
class _Here:
    """The walk before a step: what is asked, what a planner is asked, and where that is."""

    ask: Ask
    posed: Posed | None
    place: Place | None


class Judge:
    """Takes in a record's events in their order. cancel: True ends the pricing; the steps still are told."""

    def __init__(self, replay: Replay, cancel: Callable[[], bool] = lambda: False) -> None:
        self.steps: list[StepReview] = []
        self.clashes: list[Clash] = []
        self.walk: Walk | None = None
        self.packs: list[str] = []
        self.pack_ids: list[str] = []
        self.gap = 0.0
        self._replay, self._cancel = replay, cancel
        self._places = Places()
        self._live: list[int | None] = []  # numbers of the steps that may be taken back
        self._hazards: set[str] = set()
        self._pairs: list[_Pair] = []
        self._reading: Lottery | None = None
        self._repair: tuple[int, Priced] | None = None

    def take(self, event: Event) -> None:
        """Take in the next event. Raises PackError, ToldError or what a broken event brings."""
        if event.kind in IN_A_PACK:
            self._begin(event)
            return
        if self.walk is None:
            raise UnreadableError("The record does not begin with a start.", "It cannot be reviewed.")
        walk, data = self.walk, event.data
        if event.kind == "told":
            self._told(walk, event)
        elif event.kind == "skipped":
            self._skipped(walk, event)
        elif event.kind == "undone":
            number = self._live.pop() if self._live else None
            if number is not None:
                self._set(number, taken_back=True)
            self._reading = self._repair = None
            walk.replay_on(event.kind, data)
        else:
            walk.replay_on(event.kind, data)

    def deepen(self) -> None:
        """Price the steps that were not as asked more deeply, those first that seem to matter most."""
        for pair in sorted(self._pairs, key=lambda pair: -abs(self.steps[pair.number - 1].difference)):
            if self._cancel():
                return
            self._compare(pair, DEEP)

    # -- events ------------------------------------------------------------------------------------

    def _begin(self, event: Event) -> None:
        pack = self._replay.pack(str(event.data["hash"]))
        self.walk = Walk.replay(pack, [(event.kind, event.data)])
        self._places, self._reading, self._repair = Places(), None, None
        self._live = [None for _ in event.data.get("carried", ())]
        self.packs.append(pack.title)
        self.pack_ids.append(pack.id)

    def _told(self, walk: Walk, event: Event) -> None:
        data, id_ = event.data, str(event.data["ask"])
        number = self._add(walk, event)
        self._live.append(number)
        flags = [*out_of_order(walk, data), *unread(walk.pack, data, self._hazards)]
        if self._cancel():
            asked = str(data.get("asked", ""))
            self._set(number, priced=False, asked=asked, asked_title=_title(walk, asked) if asked else "")
        else:
            flags += self._judged(walk, number, data)
        self._set(number, flags=tuple(flags))
        self._came_of_it(number, id_, data)
        before = {one.reading for one in self.clashes if not one.again}
        walk.replay_on(event.kind, data)
        if id_ in before:
            self.clashes = [replace(c, again=number) if c.reading == id_ and not c.again else c for c in self.clashes]
        if data["kind"] == "measure":
            self._fought(walk, number)

    def _skipped(self, walk: Walk, event: Event) -> None:
        data = event.data
        number = self._add(walk, event, skipped=True)
        self._live.append(number)
        if self._cancel():
            self._set(number, priced=False)
            walk.replay_on(event.kind, data)
            return
        here = self._here(walk)
        self._say_asked(walk, number, here.ask, data)
        best = self._best(walk, here)
        skipped = None if here.posed is None else _action(here.posed, str(data["ask"]))
        walk.replay_on(event.kind, data)
        after = self._here(walk) if best is not None and best == skipped else None
        if after is None or here.place is None or after.place is None or best is None:
            return
        instead = self._best(walk, after)
        if instead is not None and not here.place.model.identify:
            taken = (after.place, fork(after.place, instead))
            self._add_pair(_Pair(number, taken, (here.place, fork(here.place, best)), 0.0, 0.0))

    # -- pricing -----------------------------------------------------------------------------------

    def _judged(self, walk: Walk, number: int, data: Mapping[str, Any]) -> list[str]:
        """Judge the step told next; what is to be said of it."""
        id_, kind = str(data["ask"]), str(data["kind"])
        here = self._here(walk)
        as_asked = self._say_asked(walk, number, here.ask, data)
        follows = id_ in walk.open_steps().state.followers
        proof = walk.open_steps().state.proof
        proved = proof is not None and proof.gone
        if here.posed is None or here.place is None or kind == "option" or proved or (follows and as_asked):
            return []
        if not follows:
            self._reading = None
        action, place = _action(here.posed, id_), here.place
        best = None if as_asked else self._best(walk, here)
        if as_asked:
            if action is not None:
                priced = price(place, fork(place, action), AS_ASKED, self._cancel)
                self._expect(number, id_, here.posed, action, priced)
                self._set(number, expected=priced.minutes, best=priced.minutes, doubt=0.0, solved=priced.exact)
            return []
        if best is None:
            return []
        told_wrong = walk.doubt()
        if action is None:
            # What tells the planner nothing new costs its minutes, and leaves the bench where it is then.
            state = walk.decider.graph(walk.open_steps()).index(data["bench"])
            there = place if state == place.state else replace(place, state=state)
            rate = walk.pack.economics
            extra = float(data["minutes"]) + rate.wait_minutes(float(data["wait"])) + rate.money_minutes(data["money"])
            wrong = told_wrong.chance if told_wrong.reading == id_ else 0.0
            first = (place, fork(place, best))
            after = first if there is place else (there, fork(there, best))
            self._add_pair(_Pair(number, after, first, extra, wrong))
            return [] if offered(walk, id_) else [NOT_OFFERED]
        taken = fork(place, action)
        priced = self._add_pair(_Pair(number, (place, taken), (place, fork(place, best)), 0.0, 0.0))
        self._expect(number, id_, here.posed, action, priced)
        if kind == "repair" and self.steps[number - 1].verdict.startswith(COST):
            chance = next((branch.chance for branch in taken.branches if branch.key == -1), 0.0)
            title = walk.pack.title_of(_id_of(here.posed, best)) if best.kind != "refer" else "quoting"
            return [f"Repaired before the evidence paid for it: it would help in {100 * chance:.0f} of 100 such cases;"
                    f" “{title}” came first."]  # fmt: skip
        return []

    def _here(self, walk: Walk) -> _Here:
        ask, posed = walk.ask(), walk.posed()
        if ask.expected and ask.at_least:
            self.gap = max(self.gap, ask.expected - ask.at_least)
        return _Here(ask, posed, None if posed is None else self._places.place(posed))

    def _best(self, walk: Walk, here: _Here) -> Action | None:
        """The planner's own step, also where something else comes first whatever it takes."""
        posed = here.posed
        if posed is None:
            return None
        found = _action(posed, here.ask.ranking[0].id if here.ask.ranking else here.ask.id)
        if posed.compiled.model.identify or (found is not None and here.ask.ranking):
            return found
        return walk.decider.planning.choose(posed.compiled.model, posed.asked, posed.weights, posed.state).action

    def _say_asked(self, walk: Walk, number: int, ask: Ask, data: Mapping[str, Any]) -> bool:
        """Note what was asked; whether it is what was told."""
        id_ = str(data["ask"])
        asked = str(data.get("asked", ask.id))
        if id_ in (ask.id, ask.retake):
            asked = id_
        title = str(data["title"]) if asked == id_ else _title(walk, asked)
        self._set(number, asked=asked, asked_title=title)
        return asked == id_

    def _add_pair(self, pair: _Pair) -> Priced:
        self._pairs.append(pair)
        return self._compare(pair, FIRST)

    def _compare(self, pair: _Pair, places: int) -> Priced:
        taken = price(*pair.taken, places, self._cancel)
        best = taken if pair.taken is pair.best else price(*pair.best, places, self._cancel)
        minutes = taken.minutes + pair.extra
        step = pair.taken[1]
        if step.back is not None and pair.taken[0] is pair.best[0] and taken is not best:
            # Who makes a reading can still go back and do as if it had not been made: it costs no more than that.
            minutes = min(minutes, best.minutes + step.own + step.back)
        self._set(
            pair.number,
            difference=minutes - best.minutes,
            doubt=doubt(pair.best[0], taken, best) + pair.doubt * best.minutes,
            expected=minutes,
            best=best.minutes,
            solved=taken.exact and best.exact,
        )
        return taken

    # -- what came of it ---------------------------------------------------------------------------

    def _expect(self, number: int, id_: str, posed: Posed, action: Action, priced: Priced) -> None:
        if action.kind == "measure":
            self._reading = Lottery(priced, posed.compiled.acts[action.index])
        elif action.kind == "repair":
            self._repair = (number, priced)

    def _came_of_it(self, number: int, id_: str, data: Mapping[str, Any]) -> None:
        kind, told = data["kind"], str(data["told"])
        if kind in ("measure", "history"):
            if self._reading is not None and self._reading.reads(id_):
                shares = {told: 1.0} if kind == "history" else {k: float(v) for k, v in data["outcomes"].items()}
                self._set(number, turned=0.0 if told == "not_known" else self._reading.read(id_, shares))
            return
        if self._repair is None:
            return
        if kind == "repair" and told in ("ruined", "given_up"):
            self._repair = None
            return
        gone = told == "gone" if told in ("gone", "still") else None
        if kind == "check" and data.get("failed"):
            gone = False
        if gone is not None:
            self._set(self._repair[0], turned=Lottery(self._repair[1]).seen(gone=gone))

    def _fought(self, walk: Walk, number: int) -> None:
        found = walk.doubt()
        known = {one.reading for one in self.clashes if not one.again}
        if found.conflict >= CONFLICT_BITS and found.chance >= WRONG_CHANCE and found.reading not in known:
            title = walk.pack.title_of(found.reading)
            self.clashes.append(Clash(number, found.reading, title, found.conflict, found.chance))

    # -- steps -------------------------------------------------------------------------------------

    def _add(self, walk: Walk, event: Event, *, skipped: bool = False) -> int:
        data = event.data
        took = data.get("took")
        self.steps.append(
            StepReview(
                number=len(self.steps) + 1,
                seq=event.seq,
                at=event.at,
                pack=walk.pack.id,
                ask=str(data["ask"]),
                kind=str(data["kind"]),
                title=str(data["title"]),
                say=str(data.get("reason", "")) if skipped else str(data.get("say") or data["told"]),
                asked="",
                asked_title="",
                difference=0.0,
                doubt=0.0,
                expected=0.0,
                best=0.0,
                solved=False,
                turned=None,
                minutes=float(data.get("minutes", 0.0)),
                wait=float(data.get("wait", 0.0)),
                took=float(took) if isinstance(took, (int, float)) else None,
                skipped=skipped,
            )
        )
        return len(self.steps)

    def _set(self, number: int, **changes: Any) -> None:
        self.steps[number - 1] = replace(self.steps[number - 1], **changes)


def _action(posed: Posed, id_: str) -> Action | None:
    """The planner's step for an id; None where it is none that is open."""
    if id_ == "refer":
        return Action("refer")
    test = posed.compiled.wanted(id_)
    if test >= 0:
        return None if posed.asked.measured[test] else Action("measure", test)
    if id_ in posed.compiled.repairs:
        repair = posed.compiled.repairs.index(id_)
        return None if posed.asked.tried[repair] else Action("repair", repair)
    return None


def _id_of(posed: Posed, action: Action) -> str:
    known = posed.compiled.measurements if action.kind == "measure" else posed.compiled.repairs
    return known[action.index]


def _title(walk: Walk, id_: str) -> str:
    if id_ == "refer":
        return walk.pack.refer.title if walk.pack.refer is not None else "Quoting"
    return "Is the symptom gone?" if id_ == "seen" else walk.pack.title_of(id_)
