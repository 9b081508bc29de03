"""From the record of a job to its report."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from nextprobe.errors import NextprobeError, StoreError
from nextprobe.interchange.replay import Replay
from nextprobe.pack.pack import Pack
from nextprobe.record import Event, Job
from nextprobe.record.events import is_rehearsal
from nextprobe.record.store import Store
from nextprobe.report.figures import measured
from nextprobe.report.report import Done, Looked, Measured, Report, Times
from nextprobe.report.trace import stages
from nextprobe.walk import Ending, Walk
from nextprobe.walk.words import odds

#: Words by which a remark or a note says that something is temporary.
TEMPORARY = re.compile(r"\btemporar(?:y|ily)\b|\bfor now\b|\bprovisional(?:ly)?\b", re.IGNORECASE)
_RESULTS = {
    "done": "nobody looked whether the symptom was gone",
    "gone": "the symptom was gone",
    "still": "the symptom was still there",
    "given_up": "begun, not finished",
    "ruined": "the board was lost",
}


def make_report(store: Store, job: Job) -> Report:
    """The report of `job`, from its record alone.

    Raises StoreError where the record cannot be read or replayed; a record that reads but is not sound is reported,
    and the report says so.
    """
    events = store.events(job.id)
    told = _Told()
    walk: Walk | None = None
    try:
        for event, walk in stages(Replay(store.pack_text), events):
            told.take(event, walk)
        ending = walk.ending if walk is not None and job.state == "ended" else None
    except StoreError:
        raise
    except (NextprobeError, LookupError, TypeError, ValueError) as error:
        said = error.message if isinstance(error, NextprobeError) else f"{type(error).__name__}: {error}"
        raise StoreError(
            f"Job {job.id} cannot be reported: {said}", f"See `nextprobe jobs verify {job.id}`."
        ) from error
    if walk is None:
        raise StoreError(f"Nothing was told on job {job.id} yet.", f"Go on with `nextprobe walk --job {job.id}`.")
    return _report(store, job, events, told, walk, ending)


def _machine(pack: Pack, job: Job, events: list[Event]) -> str:
    if is_rehearsal(events):
        return "simulated: this was a rehearsal, and no owner's machine was touched"
    return pack.board.title if pack.board is not None else job.board


def _report(store: Store, job: Job, events: list[Event], told: _Told, walk: Walk, ending: Ending | None) -> Report:
    pack = walk.pack
    ended = next((event for event in reversed(events) if event.kind == "ended"), None)
    cause = str(ended.data.get("cause", "")) if ended is not None and job.state == "ended" else ""
    sure = ending.sure if ending is not None and ending.cause == cause else walk.belief().get(cause, 0.0)
    kept = [*told.remarks, *told.notes]
    proven = [pack.title_of(id_) for id_ in ending.proven] if ending is not None else []
    return Report(
        job=job.id,
        opened=job.opened,
        ended=ended.at if ended is not None and job.state == "ended" else "",
        packs=tuple(told.packs or [_pack_words(pack)]),
        machine=_machine(pack, job, events),
        symptom=pack.title_of(walk.situation.symptom),
        # Who reviewed the job is the workshop's business, not the owner's.
        people=tuple((role, name) for role, name in store.people(job.id).items() if not role.startswith("trainer")),
        options=tuple(
            Looked(_question(pack.title_of(id_)), _plain(value))
            for id_, value in walk.options.items()
            # What the board sheet says is said by naming the board.
            if id_ not in pack.known_options
        ),
        history=tuple(told.history.values()),
        ending=job.ending.replace("_", " "),
        why=str(ended.data.get("why", "")) if ended is not None and job.state == "ended" else "",
        cause=pack.title_of(cause) if cause else "",
        odds=odds(sure) if cause else "",
        # What proves the repair stands under that head once.
        looked=tuple(one for one in told.looked if not (one.behind and one.title in proven)),
        measured=tuple(told.measured),
        done=tuple(told.done),
        proven=tuple(proven),
        not_proved=tuple(pack.title_of(id_) for id_ in ending.not_proved) if ending is not None else (),
        skipped=tuple(told.skipped),
        remarks=tuple(said for said in told.remarks if not TEMPORARY.search(said)),
        notes=tuple(said for said in told.notes if not TEMPORARY.search(said)),
        temporary=tuple(said for said in kept if TEMPORARY.search(said)),
        times=Times(
            ending.minutes if ending is not None else walk.minutes, walk.wait, told.clock, told.clocked, told.steps
        ),
        parts=walk.money,
        currency=pack.economics.currency,
        events=job.events,
        head=job.head,
        broken=tuple(store.verify(job.id)),
        sketch=pack.board if pack.board is not None and len(pack.board.sketch.outline) > 2 else None,
    )


@dataclass
class _Told:
    """What was told so far, gathered event by event."""

    packs: list[str] = field(default_factory=list)
    history: dict[str, Looked] = field(default_factory=dict)
    looked: list[Looked] = field(default_factory=list)
    measured: list[Measured] = field(default_factory=list)
    done: list[Done] = field(default_factory=list)
    skipped: list[Looked] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    ticked: dict[str, list[str]] = field(default_factory=dict)
    behind: str = ""
    clock: float = 0.0
    clocked: int = 0
    steps: int = 0
    over: bool = False

    def take(self, event: Event, walk: Walk) -> None:
        data, pack = event.data, walk.pack
        if _pack_words(pack) not in self.packs:
            self.packs.append(_pack_words(pack))
        match event.kind:
            case "told":
                self._step(data)
                self._told(data, walk)
            case "skipped":
                self.skipped.append(Looked(str(data["title"]), str(data.get("reason", ""))))
            case "ticked":
                self._tick(data)
            case "remarked":
                said = pack.title_of(str(data["remark"]))
                self.remarks += [said] if said not in self.remarks else []
            case "noted" if not self.over:
                self.notes.append(str(data["text"]))
            case "ended":
                # Notes behind the ending are the trainer's, not the owner's.
                self.over = True

    def _step(self, data: Mapping[str, Any]) -> None:
        self.steps += 1
        took = data.get("took")
        if isinstance(took, (int, float)):
            self.clock += float(took)
            self.clocked += 1

    def _told(self, data: Mapping[str, Any], walk: Walk) -> None:
        kind, title, say = data["kind"], str(data["title"]), str(data.get("say") or data["told"])
        if kind == "history":
            self.history[str(data["ask"])] = Looked(title, say)
        elif kind == "repair":
            self._repaired(data, walk.pack)
        elif data["ask"] == "seen":
            self._seen(str(data["told"]))
        elif kind in ("measure", "check"):
            figure = measured(walk, data, self.behind)
            if figure is not None:
                self.measured.append(self._pointed(figure, walk.pack))
            else:
                self.looked.append(Looked(title, say, self.behind))
            if data.get("failed") and walk.proving:
                self._seen("failed", title)

    def _pointed(self, figure: Measured, pack: Pack) -> Measured:
        """The figure with its number in the sketch: one for each place of the board that is drawn."""
        if figure.at is None or pack.board is None:
            return figure
        known = {(one.title, one.at): one.point for one in self.measured if one.point}
        return replace(figure, point=known.setdefault((figure.title, figure.at), max(known.values(), default=0) + 1))

    def _repaired(self, data: Mapping[str, Any], pack: Pack) -> None:
        id_, told = str(data["ask"]), str(data["told"])
        repair = pack.repairs[id_]
        self.done.append(
            Done(repair.title, _RESULTS.get(told, _plain(told)), tuple(self.ticked.pop(id_, ())), len(repair.steps))
        )
        self.behind = repair.title

    def _seen(self, told: str, check: str = "") -> None:
        if self.done:
            last = self.done[-1]
            result = f"not proved, this check failed: {check}" if check else _RESULTS[told]
            self.done[-1] = Done(last.title, result, last.ticked, last.steps)

    def _tick(self, data: Mapping[str, Any]) -> None:
        steps = self.ticked.setdefault(str(data["ask"]), [])
        say = str(data["say"])
        if say in steps:
            steps.remove(say)
        if data["done"]:
            steps.append(say)


def _pack_words(pack: Pack) -> str:
    return f"{pack.title} ({pack.id} {pack.version})"


def _question(asked: str) -> str:
    """A question without the help behind it."""
    return asked[: asked.find("?") + 1] or asked


def _plain(value: str) -> str:
    return value.replace("_", " ")
