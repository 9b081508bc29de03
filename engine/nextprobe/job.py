"""A walk with its durable record: opened, and taken up again where it stopped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from nextprobe.errors import NextprobeError, NotAllowedError
from nextprobe.pack.load import kept_text, load_pack, pack_from_kept
from nextprobe.pack.pack import Pack
from nextprobe.pack.shop import Shop
from nextprobe.walk import Walk
from nextprobe.walk.carry import GoneOver
from nextprobe.walk.walk import Event

if TYPE_CHECKING:
    from nextprobe.record.jobs import Job
    from nextprobe.record.store import Store


@dataclass(frozen=True)
class OpenJob:
    """A job being worked on: its record and the walk that goes on with it, in this shop."""

    job: Job
    walk: Walk
    store: Store
    shop: Shop | None = None
    taken_over: str = ""
    """What to show first where the job was taken over from a bench that is gone."""

    def keep_step(self) -> None:
        """The walk is left: its step is recorded, so that whoever takes the job up has it in sight at once."""
        with suppress(NextprobeError):  # without it the step is planned anew, and nothing else is lost
            self.walk.keep_step()

    def let_go(self) -> None:
        """The walk is left: another bench may take the job up."""
        self.keep_step()
        self.store.let_go(self.job.id)

    def go_over(self, ref: str | None = None, symptom: str | None = None) -> GoneOver:
        """Go on in the pack `ref` (None: the one that a reading pointed to), with what was told.

        The board sheet and the shop stay. Raises NotAllowedError where no reading pointed anywhere, UsageError or
        PackError where that pack cannot be had, SituationError where it does not fit; the job then is as it was.
        """
        walk = self.walk
        ref = ref or walk.see_also
        if not ref:
            raise NotAllowedError("No reading points to another pack.", "Name the pack to go over to.")
        pack = self._other(ref)
        self.store.keep_pack(pack.id, pack.hash, kept_text(pack))
        return walk.go_over(pack, symptom)

    def _other(self, ref: str) -> Pack:
        """The pack on the board sheet of this machine, or without it where it is not for that pack."""
        board = self.walk.pack.board
        if board is None:
            return load_pack(ref, None, self.shop)
        try:
            return load_pack(ref, board.id, self.shop)
        except NextprobeError:
            return load_pack(ref, None, self.shop)


def start_job(
    store: Store,
    pack: Pack,
    *,
    symptom: str | None = None,
    options: Mapping[str, str] | None = None,
    lacks: Iterable[str] = (),
    limit: float | None = None,
    bench: Mapping[str, str] | None = None,
    technician: str | None = None,
    shop: Shop | None = None,
    facts: Mapping[str, str] | None = None,
    beside: Iterable[Event] = (),
) -> OpenJob:
    """Open a job and its walk; the start and the `facts` (id to what the owner tells) are on the disk then.

    beside: events of other kinds than a walk's own, recorded with them.
    Raises SituationError or ToldError before anything is recorded, StoreError when it cannot be recorded: there is
    no job then.
    """
    probe = Walk(pack, symptom, options, lacks, limit, bench)
    for fact, told in (facts or {}).items():
        probe.tell(fact, told)
    job = store.create_job(
        pack.id,
        pack.hash,
        kept_text(pack),
        pack.board.id if pack.board else None,
        probe.situation.symptom,
        technician,
        first=[*probe.events(), *beside],
    )
    probe.record_into(_sink(store, job.id), fresh=False)
    return OpenJob(job, probe, store, shop)


def resume_job(store: Store, id_: str, shop: Shop | None = None) -> OpenJob:
    """Take a job up where it stopped, on the pack as it was then.

    Raises NotAllowedError for an ended one, StoreError where another bench holds it: the message says which.
    """
    job = store.job(id_)
    if job.state == "ended":
        raise NotAllowedError(
            f"Job {job.id} has ended ({job.ending.replace('_', ' ')}).",
            f"See `nextprobe jobs show {job.id}`, or start a new job.",
        )
    # Held before it is read: what another bench recorded last is read too.
    taken_over = store.hold(job.id)
    try:
        walk = replayed(store, job)
    except BaseException:
        store.let_go(job.id)
        raise
    # Killed between opening the job and its first event: the start is recorded now.
    walk.record_into(_sink(store, job.id), fresh=job.events == 0)
    return OpenJob(job, walk, store, shop, taken_over)


def replayed(store: Store, job: Job) -> Walk:
    """The walk of a job as its record tells it; nothing new is recorded."""
    events: list[Event] = [(event.kind, event.data) for event in store.events(job.id)]
    # The events say in which pack it goes on: the job's own line may be one event behind.
    hashes = [data["hash"] for kind, data in events if kind in ("started", "went_over")]
    pack = pack_from_kept(store.pack_text(hashes[-1] if hashes else job.pack_hash))
    if not events:
        return Walk(pack, job.symptom)
    return Walk.replay(pack, events)


def _sink(store: Store, job_id: str) -> Any:
    def record(kind: str, data: dict[str, Any]) -> None:
        store.append(job_id, kind, data)
        if kind == "went_over":
            store.set_pack(job_id, data["pack"], data["hash"], data["board"], data["symptom"])
        if kind == "ended":
            store.end_job(job_id, str(data["ending"]))

    return record
