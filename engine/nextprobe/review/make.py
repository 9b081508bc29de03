"""From the record of a job to its review."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from nextprobe.errors import NextprobeError, StoreError
from nextprobe.interchange.replay import Replay
from nextprobe.record import Event, Job
from nextprobe.record.store import Store
from nextprobe.review.judge import Judge
from nextprobe.review.notes import notes_of
from nextprobe.review.review import UNPRICED, Review


def make_review(
    store: Store,
    job: Job,
    *,
    deep: bool = True,
    cancel: Callable[[], bool] = lambda: False,
    say: Callable[[int, int], None] = lambda done, of: None,
    replay: Replay | None = None,
) -> Review:
    """The review of `job`, from its record alone; a record that reads but is not sound is reviewed, and that is said.

    deep: whether steps that were not as asked are priced a second time, more deeply. cancel: asked now and then, True
    ends the pricing with what there is. say: told the events taken in, and how many there are. replay: keeps packs
    from job to job. Raises StoreError where the record cannot be read or replayed, or holds nothing yet.
    """
    events = store.events(job.id)
    judge = Judge(replay or Replay(store.pack_text), cancel)
    try:
        for number, event in enumerate(events, 1):
            judge.take(event)
            say(number, len(events))
        if deep:
            judge.deepen()
    except StoreError:
        raise
    except (NextprobeError, LookupError, TypeError, ValueError, AttributeError) as error:
        said = error.message if isinstance(error, NextprobeError) else f"{type(error).__name__}: {error}"
        raise StoreError(
            f"Job {job.id} cannot be reviewed: {said}", f"See `nextprobe jobs verify {job.id}`."
        ) from error
    if judge.walk is None:
        raise StoreError(f"Nothing was told on job {job.id} yet.", f"Go on with `nextprobe walk --job {job.id}`.")
    return _review(store, job, events, judge)


def _review(store: Store, job: Job, events: Sequence[Event], judge: Judge) -> Review:
    walk = judge.walk
    pack = walk.pack if walk is not None else None
    ended = next((event for event in reversed(events) if event.kind == "ended"), None)
    board = pack.board.title if pack is not None and pack.board is not None else job.board
    steps, general = notes_of(events, judge.steps)
    return Review(
        job=job.id,
        opened=job.opened,
        packs=tuple(judge.packs),
        pack_ids=tuple(judge.pack_ids),
        machine=board,
        symptom=pack.title_of(job.symptom) if pack is not None else job.symptom,
        ending=job.ending.replace("_", " "),
        why=str(ended.data.get("why", "")) if ended is not None and job.state == "ended" else "",
        people=tuple(store.people(job.id).items()),
        steps=steps,
        clashes=tuple(judge.clashes),
        gap=judge.gap,
        left=sum(one.verdict == UNPRICED for one in judge.steps),
        broken=tuple(store.verify(job.id)),
        notes=general,
    )
