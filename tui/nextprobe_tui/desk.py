"""What lies on the desk before a walk: packs, board sheets, the store with the open jobs. No screen in here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from nextprobe.errors import NextprobeError
from nextprobe.resources import bundled_boards, bundled_packs, find_board, find_pack

if TYPE_CHECKING:
    from pathlib import Path

    from nextprobe.job import OpenJob
    from nextprobe.pack.pack import Pack
    from nextprobe.pack.shop import Shop
    from nextprobe.record.jobs import Job
    from nextprobe.record.store import Store
    from nextprobe.walk import Walk
    from nextprobe_tui.screens.intake import Intake


class Desk:
    """Finds, begins and goes on with the jobs of one store, in one shop.

    What it cannot do raises NextprobeError with a cure, and nothing is recorded.
    """

    def __init__(self, store: Store, shop: Shop | None = None) -> None:
        self._store = store
        self._shop = shop

    def open_jobs(self) -> list[Job]:
        """The jobs that have not ended, the newest first."""
        return [job for job in self._store.jobs() if job.state == "open"]

    def packs(self) -> list[tuple[str, str]]:
        """Reference and title of every bundled pack."""
        return [(ref, str(_data(find_pack(ref)).get("title", ref))) for ref in bundled_packs()]

    def boards(self, pack: Pack) -> list[tuple[str, str]]:
        """Reference and title of every bundled board sheet that serves `pack`."""
        sheets = [(ref, _data(find_board(ref))) for ref in bundled_boards()]
        return [(ref, str(data.get("title", ref))) for ref, data in sheets if pack.id in (data.get("for") or ())]

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

    def ended_jobs(self, most: int = 8) -> list[Job]:
        """The jobs that ended last, the newest first."""
        return [job for job in self._store.jobs() if job.state == "ended"][:most]

    def look(self, job_id: str) -> Walk:
        """A job as its record tells it, to be looked at; nothing is recorded."""
        from nextprobe.job import replayed

        return replayed(self._store, self._store.job(job_id))

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

    def go_on(self, job_id: str) -> OpenJob:
        """An open job where it stopped, on the pack as it was then."""
        from nextprobe.job import resume_job

        return resume_job(self._store, job_id, self._shop)


def _data(path: Path) -> dict[str, Any]:
    """What a file says, as it is listed; one that cannot be read is listed by its reference alone."""
    from nextprobe.pack.cache import load_source

    try:
        data = load_source(path).data
    except NextprobeError:
        return {}
    return data if isinstance(data, dict) else {}
