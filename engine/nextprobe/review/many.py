"""Many jobs together: by person, by pack and by step, where the minutes go. Nothing is ranked that is too few."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from typing import Any

from nextprobe.errors import StoreError
from nextprobe.interchange.replay import Replay
from nextprobe.record import Job
from nextprobe.record.events import is_rehearsal
from nextprobe.record.store import Store
from nextprobe.review.make import make_review
from nextprobe.review.review import COST, Review
from nextprobe.review.spread import Spread, spread

#: What a job counts under that has no technician's name.
NO_NAME = ""


@dataclass(frozen=True, slots=True)
class Row:
    """What can be said of one person, pack or step over `jobs` jobs; each spread is None where they are too few.

    minutes: at the bench, by the clock where one ran, else by the pack; lost: by steps that were not as asked and cost
    more; costly: jobs in which any did.
    """

    name: str
    title: str
    jobs: int
    costly: int
    minutes: Spread | None
    lost: Spread | None
    mean_lost: float


@dataclass(frozen=True)
class Many:
    """What `jobs` jobs say together; left: jobs that there was no time for; broken: ids of records that are not sound.

    unread: ids of jobs that could not be reviewed.
    """

    jobs: int
    left: int
    people: tuple[Row, ...]
    packs: tuple[Row, ...]
    steps: tuple[Row, ...]
    broken: tuple[str, ...]
    unread: tuple[str, ...]

    def as_data(self) -> dict[str, Any]:
        """As plain data."""
        return asdict(self)


@dataclass
class _Group:
    title: str
    minutes: list[float] = field(default_factory=list)
    lost: list[float] = field(default_factory=list)

    def row(self, name: str) -> Row:
        costly = sum(one > 0 for one in self.lost)
        mean = sum(self.lost) / len(self.lost)
        return Row(name, self.title, len(self.lost), costly, spread(self.minutes), spread(self.lost), mean)


def review_many(
    store: Store,
    *,
    person: str | None = None,
    pack: str | None = None,
    rehearsals: bool = False,
    cancel: Callable[[], bool] = lambda: False,
    say: Callable[[int, int], None] = lambda done, of: None,
) -> Many:
    """Review the jobs of a store, the newest first, until `cancel`; person: of this technician; pack: its id.

    rehearsals: those on simulated machines in place of the real ones; the two are never counted together.
    A job that went over counts under its last pack, its steps under the pack they were made in.
    """
    jobs = [job for job in store.jobs() if pack is None or job.pack_id == pack]
    if person is not None:
        wanted = person.strip().lower()
        jobs = [job for job in jobs if store.people(job.id).get("technician", "").lower() == wanted]
    jobs = [job for job in jobs if _on_simulated(store, job) in (rehearsals, None)]
    people: dict[str, _Group] = {}
    packs: dict[str, _Group] = {}
    steps: dict[str, _Group] = {}
    broken, unread, done, left = [], [], 0, 0
    replay = Replay(store.pack_text)
    for number, job in enumerate(jobs, 1):
        if cancel():
            left = len(jobs) - number + 1
            break
        try:
            review = make_review(store, job, deep=False, cancel=cancel, replay=replay)
        except StoreError:
            unread.append(job.id)
            continue
        if review.left:
            # Half a job would count as one in which little was lost.
            left = len(jobs) - number + 1
            break
        broken += [job.id] if review.broken else []
        if review.broken:
            continue
        done += 1
        _count(review, people, packs, steps)
        say(number, len(jobs))
    return Many(done, left, _rows(people), _rows(packs), _rows(steps), tuple(broken), tuple(unread))


def _on_simulated(store: Store, job: Job) -> bool | None:
    """Whether a job was a rehearsal; None where its record cannot be read, which is said in its place."""
    try:
        return is_rehearsal(store.read_events(job.id))
    except StoreError:
        return None


def _count(review: Review, people: dict[str, _Group], packs: dict[str, _Group], steps: dict[str, _Group]) -> None:
    name = dict(review.people).get("technician", NO_NAME)
    whole = {"minutes": 0.0, "lost": 0.0}
    own: dict[str, list[float]] = {}
    for one in review.steps:
        if not one.counts:
            continue
        minutes = one.minutes if one.took is None else one.took
        lost = one.regret if one.verdict.startswith(COST) else 0.0
        whole["minutes"] += minutes
        whole["lost"] += lost
        key = f"{one.pack}: {one.ask}"
        steps.setdefault(key, _Group(one.title))
        own.setdefault(key, [0.0, 0.0])
        own[key][0] += minutes
        own[key][1] += lost
    for group in (people.setdefault(name, _Group(name or "no name kept")),
                  packs.setdefault(review.pack_ids[-1], _Group(review.packs[-1]))):  # fmt: skip
        group.minutes.append(whole["minutes"])
        group.lost.append(whole["lost"])
    for key, (minutes, lost) in own.items():
        steps[key].minutes.append(minutes)
        steps[key].lost.append(lost)


def _rows(groups: dict[str, _Group]) -> tuple[Row, ...]:
    """Those of which something can be said first, where most is lost in front; the others by name."""
    rows = [group.row(name) for name, group in groups.items()]
    said = sorted((row for row in rows if row.lost is not None), key=lambda row: (-row.mean_lost, row.name))
    return (*said, *sorted((row for row in rows if row.lost is None), key=lambda row: row.name))
