"""What lies on the desk before a walk: packs, board sheets, the store with the open jobs. No screen in here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from nextprobe.errors import NextprobeError
from nextprobe.record.events import is_rehearsal
from nextprobe.record.jobs import Clock, utc_now
from nextprobe.resources import bundled_boards, bundled_lessons, bundled_packs, find_board, find_lesson, find_pack
from nextprobe_tui.job_rows import JobRow

if TYPE_CHECKING:
    from pathlib import Path

    from nextprobe.job import OpenJob
    from nextprobe.pack.pack import Pack
    from nextprobe.pack.shop import Shop
    from nextprobe.record.jobs import Job
    from nextprobe.record.store import Store
    from nextprobe.rehearse.lesson import Task
    from nextprobe.rehearse.rehearsal import Rehearsal, Setting
    from nextprobe.walk import Ending, Walk
    from nextprobe_tui.screens.intake_questions import Intake


@dataclass(frozen=True)
class Lying:
    """What lies on the desk. open: the one touched last first; ended: the one opened last first.

    packs: reference and title, the one used last first, then by title. lesson: whether there is a first lesson.
    """

    open: tuple[JobRow, ...]
    ended: tuple[JobRow, ...]
    packs: tuple[tuple[str, str], ...]
    lesson: bool
    now: datetime


class Desk:
    """Finds, begins and goes on with the jobs of one store, in one shop.

    What it cannot do raises NextprobeError with a cure, and nothing is recorded.
    """

    def __init__(self, store: Store, shop: Shop | None = None, clock: Clock = utc_now) -> None:
        self._store = store
        self._shop = shop
        self._clock = clock

    def lying(self) -> Lying:
        """All that the start screen lists, from one reading of the store."""
        jobs = self._store.jobs()
        progress = self._store.progress()
        rows = _Rows(progress)
        opened = sorted((rows.row(job) for job in jobs if job.state == "open"), key=lambda row: row.at, reverse=True)
        ended = [rows.row(job) for job in jobs if job.state == "ended"]
        return Lying(tuple(opened), tuple(ended), self._packs(jobs), bool(bundled_lessons()), self._clock())

    def packs(self) -> list[tuple[str, str]]:
        """Reference and title of every bundled pack, the one used last first, then by title."""
        return list(self._packs(self._store.jobs()))

    def _packs(self, jobs: Sequence[Job]) -> tuple[tuple[str, str], ...]:
        used = list(dict.fromkeys(job.pack_id for job in jobs))
        titled = sorted(((ref, _title(find_pack(ref), ref)) for ref in bundled_packs()), key=lambda pack: pack[1])
        return tuple(sorted(titled, key=lambda pack: used.index(pack[0]) if pack[0] in used else len(used)))

    def boards(self, pack: Pack) -> list[tuple[str, str]]:
        """Reference and title of every bundled board sheet that serves `pack`."""
        sheets = [(ref, find_board(ref)) for ref in bundled_boards()]
        return [(ref, _title(file, ref)) for ref, file in sheets if pack.id in (_data(file).get("for") or ())]

    def load(self, ref: str, board: str | None = None) -> Pack:
        """The pack, with the values of a board sheet and of the shop."""
        from nextprobe.pack.load import load_pack

        return load_pack(ref, board, self._shop)

    def lacks(self, pack: Pack) -> tuple[str, ...]:
        """What the shop file says is not here, as far as `pack` knows it."""
        listed = self._shop.lacks if self._shop else ()
        return tuple(id_ for id_ in listed if id_ in pack.instruments or id_ in pack.skills)

    @property
    def limit(self) -> float | None:
        """The limit that the shop file sets; None for none."""
        return self._shop.limit if self._shop else None

    def look(self, job_id: str) -> tuple[Walk, Ending | None]:
        """A job as its record tells it and how it ended, to be looked at; nothing is recorded."""
        from nextprobe.job import replayed

        walk = replayed(self._store, self._store.job(job_id))
        return walk, walk.ending

    def begin(self, ref: str, board: str | None, symptom: str, intake: Intake) -> OpenJob:
        """Open a job with what was told at the start; all of it is on the disk when this returns."""
        from nextprobe.job import start_job

        return start_job(
            self._store,
            self.load(ref, board),
            symptom=symptom,
            options=intake.options,
            lacks=intake.lacks,
            limit=intake.limit,
            bench=intake.bench,
            shop=self._shop,
            facts=intake.facts,
        )

    def go_on(self, job_id: str) -> OpenJob | Rehearsal:
        """An open job where it stopped, on the pack as it was then; a rehearsal with its machine."""
        from nextprobe.job import resume_job
        from nextprobe.rehearse.rehearsal import resume_rehearsal

        if is_rehearsal(self._store.events(job_id)):
            return resume_rehearsal(self._store, job_id, self._shop)
        return resume_job(self._store, job_id, self._shop)

    @staticmethod
    def lessons() -> list[tuple[str, str]]:
        """Id and title of every bundled lesson."""
        return [(id_, _title(find_lesson(id_), id_)) for id_ in bundled_lessons()]

    def lesson(self, id_: str) -> tuple[Rehearsal, tuple[Task, ...]]:
        """A lesson begun, and what it wants done; its machine is the next of its own."""
        from nextprobe.rehearse.begin import lesson_setting
        from nextprobe.rehearse.lesson import load_lesson

        lesson = load_lesson(id_)
        setting = lesson_setting(lesson, self._store)
        pack = self.load(lesson.pack, lesson.board or None)
        return self._rehearsal(pack, setting, lesson.symptom, lesson.options), lesson.tasks

    def rehearse(self, ref: str, board: str | None, symptom: str, mode: str) -> Rehearsal:
        """A rehearsal of a pack on a machine that nobody knows."""
        from nextprobe.rehearse.begin import new_seed
        from nextprobe.rehearse.make import Hidden
        from nextprobe.rehearse.rehearsal import Setting

        return self._rehearsal(self.load(ref, board), Setting(Hidden(new_seed()), mode), symptom, {})

    def _rehearsal(self, pack: Pack, setting: Setting, symptom: str | None, options: Mapping[str, str]) -> Rehearsal:
        from nextprobe.rehearse.rehearsal import start_rehearsal

        return start_rehearsal(
            self._store, pack, setting, symptom=symptom, options=options, lacks=self.lacks(pack), shop=self._shop
        )

    @property
    def store(self) -> Store:
        """Where its jobs are kept."""
        return self._store


class _Rows:
    """Jobs as they are listed; each pack and sheet is looked up once."""

    def __init__(self, progress: Mapping[str, tuple[int, str]]) -> None:
        self._progress = progress
        self._machines: dict[str, str] = {}
        self._symptoms: dict[tuple[str, str], str] = {}

    def row(self, job: Job) -> JobRow:
        steps, at = self._progress.get(job.id, (0, job.opened))
        return JobRow(job.id, self._machine(job.board), self._symptom(job), at, steps, job.ending)

    def _machine(self, board: str) -> str:
        if board not in self._machines:
            bundled = board in bundled_boards()
            # What stands in brackets behind a machine's name is for whoever picks it.
            self._machines[board] = _title(find_board(board), board).split(" (")[0] if bundled else board
        return self._machines[board]

    def _symptom(self, job: Job) -> str:
        key = (job.pack_id, job.symptom)
        if key not in self._symptoms:
            found = _data(find_pack(job.pack_id)).get("symptoms") if job.pack_id in bundled_packs() else None
            one = found.get(job.symptom) if isinstance(found, dict) else None
            title = one.get("title") if isinstance(one, dict) else None
            self._symptoms[key] = str(title or f"{job.symptom.replace('_', ' ')} ({job.pack_id})")
        return self._symptoms[key]


def _title(path: Path, ref: str) -> str:
    """What a pack or a sheet is called."""
    return str(_data(path).get("title", ref))


def _data(path: Path) -> dict[str, Any]:
    """What a file says, as it is listed; one that cannot be read is listed by its reference alone."""
    from nextprobe.pack.cache import load_source

    try:
        data = load_source(path).data
    except NextprobeError:
        return {}
    return data if isinstance(data, dict) else {}
