"""A rehearsal: a job on a simulated machine, recorded like any job.

An event ``rehearsal`` behind the start says the seed and keeps the machine sealed; ``hinted`` stands for each hint
taken; ``revealed``, behind the ending, says what it was.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from nextprobe.errors import NotAllowedError
from nextprobe.job import OpenJob, resume_job, start_job
from nextprobe.pack.pack import Pack
from nextprobe.rehearse.fault import Fault
from nextprobe.rehearse.follow import answer, follow
from nextprobe.rehearse.lesson import Goal
from nextprobe.rehearse.luck import Luck
from nextprobe.rehearse.machine import Machine
from nextprobe.rehearse.make import Hidden, make_machine
from nextprobe.rehearse.result import Result, result_of
from nextprobe.rehearse.sealed import seal, unseal
from nextprobe.walk import Ask, Ending, Taken, Walk
from nextprobe.walk.situation import make_situation

if TYPE_CHECKING:
    from nextprobe.pack.shop import Shop
    from nextprobe.record.store import Store


@dataclass(frozen=True, slots=True)
class Setting:
    """How a rehearsal is set: the hidden machine, the mode (guided, free or typed), hints (None: any), the goal."""

    hidden: Hidden = field(default_factory=Hidden)
    mode: str = "guided"
    hints: int | None = None
    goal: Goal = field(default_factory=Goal)
    lesson: str = ""
    title: str = ""


@dataclass
class Rehearsal:
    """A rehearsal under way: the open job, the machine, how it was set, the hints taken so far."""

    opened: OpenJob
    machine: Machine
    setting: Setting
    hints: int = 0

    @property
    def walk(self) -> Walk:
        """The walk of the job."""
        return self.opened.walk

    def reading(self, ask: Ask) -> str:
        """What the machine shows for `ask`; nothing changes, so that it may be asked again."""
        return answer(self.walk, self.machine, ask)

    def tell(self, id_: str, text: str, took: float | None = None) -> Taken:
        """Tell the walk, and let it count on the machine. Raises ToldError; nothing has changed then.

        took: minutes by the clock, where one is worth keeping: nothing is done by hand here.
        """
        taken = self.walk.tell(id_, text, took=took)
        self.machine.told(id_, taken.told)
        return taken

    def hint(self) -> Ask:
        """The step that the engine would do next; recorded. Raises NotAllowedError where no hint is left."""
        left = self.setting.hints
        if left is not None and self.hints >= left:
            raise NotAllowedError(
                "There is no hint left." if left else "This lesson has no hints.", "Choose by yourself; `find` lists."
            )
        ask = self.walk.ask()
        self.opened.store.append(self.opened.job.id, "hinted", {"ask": ask.id, "title": ask.title})
        self.hints += 1
        return ask

    def finish(self) -> Result:
        """Record what it was, once the walk has ended, and judge it. Raises NotAllowedError before."""
        ending = self.walk.close()
        if ending is None:
            raise NotAllowedError("The rehearsal has not ended yet.", "Go on with the step.")
        store, job = self.opened.store, self.opened.job
        events = store.events(job.id)
        if not any(event.kind == "revealed" for event in events):
            causes = list(_hidden_in(events)["fault"])
            engine = engine_ending(self.walk, _hidden_in(events), self.setting.hidden)
            data = {
                "causes": causes,
                "titles": [self.walk.pack.title_of(cause) for cause in causes],
                "cured": not self.machine.shows,
                "minutes": round(ending.minutes, 2),
                "steps": sum(not step.skipped for step in self.walk.path),
                "slipped": list(self.machine.slipped),
                "engine_ending": engine.what,
                "engine_minutes": round(engine.minutes, 2),
            }
            store.append(job.id, "revealed", data)
        return result_of(store.events(job.id))


def start_rehearsal(
    store: Store,
    pack: Pack,
    setting: Setting,
    *,
    symptom: str | None = None,
    options: Mapping[str, str] | None = None,
    lacks: Iterable[str] = (),
    technician: str | None = None,
    shop: Shop | None = None,
) -> Rehearsal:
    """Open a rehearsal; the start and the sealed machine are on the disk then.

    Raises SituationError before anything is recorded where the pack has no such machine, StoreError otherwise.
    """
    lacks = tuple(lacks)
    situation = make_situation(pack, symptom, options, lacks, None)
    machine = make_machine(pack, situation.symptom, situation.options, setting.hidden, situation.lacks)
    hidden = setting.hidden
    data: dict[str, Any] = {
        "seed": hidden.seed,
        "mode": setting.mode,
        "slips": hidden.slips,
        "hints": setting.hints,
        "goal": {"ending": setting.goal.ending, "within_minutes": setting.goal.within_minutes},
        "lesson": setting.lesson,
        "title": setting.title,
        "sealed": seal({"options": dict(machine.options), "fault": machine.fault.as_data()}),
    }
    opened = start_job(
        store,
        pack,
        symptom=situation.symptom,
        options=options,
        lacks=lacks,
        technician=technician,
        shop=shop,
        beside=[("rehearsal", data)],
    )
    return Rehearsal(opened, machine, setting)


def resume_rehearsal(store: Store, id_: str, shop: Shop | None = None) -> Rehearsal:
    """Take a rehearsal up where it stopped, on the same machine. Raises NotAllowedError for any other job."""
    job = store.job(id_)
    events = store.events(job.id)
    data = next((event.data for event in events if event.kind == "rehearsal"), None)
    if data is None:
        raise NotAllowedError(f"Job {job.id} is no rehearsal.", f"Go on with `nextprobe walk --job {job.id}`.")
    opened = resume_job(store, job.id, shop)
    goal = Goal(data["goal"]["ending"], data["goal"]["within_minutes"])
    setting = Setting(
        Hidden(data["seed"], slips=data["slips"]), data["mode"], data["hints"], goal, data["lesson"], data["title"]
    )
    machine = machine_of(opened.walk, _hidden_in(events), setting.hidden)
    for event in store.events(job.id):
        if event.kind == "told":
            machine.told(event.data["ask"], event.data["told"])
    return Rehearsal(opened, machine, setting, sum(event.kind == "hinted" for event in events))


def machine_of(walk: Walk, hidden: Mapping[str, Any], setting: Hidden) -> Machine:
    """The machine as it came in, from what was sealed."""
    situation = walk.situation
    return Machine(
        walk.pack,
        situation.symptom,
        hidden["options"],
        Fault.of_data(hidden["fault"]),
        Luck(setting.seed),
        setting.slips,
        situation.lacks,
    )


def engine_ending(walk: Walk, hidden: Mapping[str, Any], setting: Hidden) -> Ending:
    """How the same machine ends where every step is the engine's."""
    situation = walk.situation
    again = Walk(walk.pack, situation.symptom, situation.options, situation.lacks)
    return follow(again, machine_of(again, hidden, setting))


def _hidden_in(events: Iterable[Any]) -> dict[str, Any]:
    return unseal(next(event.data["sealed"] for event in events if event.kind == "rehearsal"))
