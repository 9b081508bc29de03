"""From a pack and the cases of a workshop to what they teach it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from nextprobe.learn.bands import bands_of_good
from nextprobe.learn.case import Case
from nextprobe.learn.counted import Counted, Prior, believed_worth, count, explained, posterior, worth
from nextprobe.learn.drawn import Draws, draws, slip_interval
from nextprobe.learn.learned import Change, Learned
from nextprobe.learn.minutes import Minutes, minutes_of
from nextprobe.learn.tables import Block, Parameters, make_blocks
from nextprobe.model.arrays import Floats
from nextprobe.pack.marks import Path
from nextprobe.pack.pack import Pack

if TYPE_CHECKING:
    from nextprobe.learn.gather import Gathered

#: Jobs that a pack's own numbers count for at the least, where nobody says otherwise; and for each of its causes: two
#: jobs of a cause are what a guess is worth that may be wrong by a factor of two or three.
WORTH, PER_CAUSE = 50.0, 2.0
#: The chance with which the intervals hold the number.
SURE = 0.9
#: The part of the pack's worth with which jobs are counted to judge that worth.
LEANING = 0.25
#: A figure before the repair is of a good board where the measurement was healthy with this chance.
HEALTHY = 0.99
UNFIT, UNEXPLAINED = "of a machine that this pack does not fit", "that nothing in this pack explains"


def learn(
    pack: Pack,
    gathered: Gathered,
    jobs: float | None = None,
    sure: float = SURE,
    sheets: Mapping[str, Pack] | None = None,
) -> Learned:
    """What the cases teach; the pack's own numbers count for `jobs` earlier jobs (None: 50, or 2 for each cause).

    The same cases give the same figures.

    sheets: the pack with the sheet of each board, for the limits of good readings. Nothing is changed: see write.py.
    """
    known = Parameters.of(pack)
    jobs = max(WORTH, PER_CAUSE * len(pack.causes)) if jobs is None else jobs
    blocks, left = _blocks(pack, gathered.cases, known)
    out = {place for places in left.values() for place in places}
    kept = [place for place in range(len(gathered.cases)) if place not in out]
    cases = [gathered.cases[place] for place in kept]
    prior = worth(known, jobs, blocks)
    # Counts that lean on the weights less than the pack is worth, or they would speak for these weights themselves.
    trusted = believed_worth(blocks, known, count(blocks, known, worth(known, jobs, blocks, jobs * LEANING)), prior)
    if trusted < jobs:
        prior = worth(known, jobs, blocks, trusted)
    counted = count(blocks, known, prior)
    changes: list[Change] = []
    minutes = Minutes((), 0.0, 0, 0)
    if cases:
        drawn = draws(blocks, counted, known, prior)
        changes += _weights(pack, known, counted, drawn, sure)
        changes += _fixes(pack, known, counted, drawn, sure)
        changes += _misreads(pack, known, counted, prior, blocks, sure)
        timings = [one for case in cases for one in case.timings]
        minutes = minutes_of(timings, _planned(pack), len(cases), jobs, sure)
        changes += _minutes(pack, minutes)
    days = sorted(case.day for case in cases)
    counts = {reason: len(places) for reason, places in left.items() if places}
    return Learned(
        pack=pack.id, version=pack.version, worth=jobs, trusted=trusted, sure=sure, jobs=len(cases),
        proven=sum(case.proven for case in cases),
        open=dict(Counter(case.ending for case in cases if not case.proven)),
        since=days[0] if days else "", until=days[-1] if days else "",
        left_out={**gathered.left_out, **counts}, older=gathered.older, dropped=sum(case.dropped for case in cases),
        changes=tuple(changes), bands=tuple(bands_of_good(pack, cases, _Bearing(pack, kept, blocks, counted), sheets)),
        rounds=len(counted.likelihood), likelihood=counted.likelihood, scatter=minutes.scatter,
        left_running=minutes.left_running, mostly_moves=minutes.mostly_moves, two_faults=pack.pairs > 0,
    )  # fmt: skip


def with_learned(pack: Pack, learned: Learned) -> Pack:
    """The pack with the numbers after in the place of those before; its texts and hash stay as they were."""
    causes, repairs, measurements = dict(pack.causes), dict(pack.repairs), dict(pack.measurements)
    symptoms, refer, unlisted, misread = dict(pack.symptoms), pack.refer, pack.unlisted, pack.misread
    for one in learned.changes:
        match one.path:
            case ("causes", str(id_), "weight"):
                causes[id_] = replace(causes[id_], weight=one.after)
            case ("repairs", str(id_), "fixes", str(cause)):
                repairs[id_] = replace(repairs[id_], fixes={**repairs[id_].fixes, cause: one.after})
            case ("repairs", str(id_), "minutes"):
                repairs[id_] = replace(repairs[id_], minutes=one.after)
            case ("measurements", str(id_), "minutes"):
                measurements[id_] = replace(measurements[id_], minutes=one.after)
            case ("measurements", str(id_), "misread"):
                measurements[id_] = replace(measurements[id_], misread=one.after)
            case ("symptoms", str(id_), "seen", "minutes"):
                symptoms[id_] = replace(symptoms[id_], seen=replace(symptoms[id_].seen, minutes=one.after))
            case ("refer", "minutes") if refer is not None:
                refer = replace(refer, minutes=one.after)
            case ("unlisted",):
                unlisted = one.after
            case ("misread",):
                misread = one.after
    own = Parameters.of(pack).slips
    for key, measured in measurements.items():
        if key not in own and not measured.is_check:
            measurements[key] = replace(measured, misread=misread)
    return replace(
        pack, causes=causes, repairs=repairs, measurements=measurements, symptoms=symptoms, refer=refer,
        unlisted=unlisted, misread=misread,
    )  # fmt: skip


def _blocks(pack: Pack, cases: Sequence[Case], known: Parameters) -> tuple[list[Block], dict[str, list[int]]]:
    made, unfit = make_blocks(pack, cases, known)
    kept: list[Block] = []
    odd: list[int] = []
    for block in made:
        one, out = explained(block, known)
        odd += out
        kept += [one] if len(one.count) else []
    return kept, {UNFIT: unfit, UNEXPLAINED: odd}


class _Bearing:
    """Whether what was wrong in a case can have a bearing on a measurement, by the belief at its end."""

    def __init__(self, pack: Pack, kept: Sequence[int], blocks: Sequence[Block], counted: Counted) -> None:
        self._pack, self._kept = pack, kept
        self._beliefs = [(block, posterior(block, counted.found)[0]) for block in blocks]
        self._row = {
            place: (number, row)
            for number, block in enumerate(blocks)
            for row, members in enumerate(block.members)
            for place in members
        }

    def __call__(self, place: int, measurement: str) -> bool:
        measured = self._pack.measurements[measurement]
        number, row = self._row[self._kept[place]]
        block, belief = self._beliefs[number]
        healthy = block.made.rule_index(measured) == len(measured.reads) - 1
        return float(belief[row, :-1] @ healthy) < HEALTHY


def _weights(pack: Pack, known: Parameters, counted: Counted, drawn: Draws, sure: float) -> Iterator[Change]:
    """Weights keep their sum, so that only what the records say of their shares shows."""
    total = float(known.weight.sum())
    low, high = _ends(drawn.share * total, sure)
    for place, cause in enumerate(known.causes):
        yield Change(
            "weight", ("causes", cause, "weight"), pack.causes[cause].title, float(known.weight[place]),
            float(counted.found.weight[place]), float(low[place]), float(high[place]), float(counted.causes[place]),
        )  # fmt: skip
    if known.unlisted > 0:
        ends = _ends(drawn.unlisted[:, None], sure)
        yield Change(
            "unlisted", ("unlisted",), pack.title_of("unlisted"), known.unlisted, counted.found.unlisted,
            float(ends[0][0]), float(ends[1][0]), float(counted.causes[-1]),
        )  # fmt: skip


def _fixes(pack: Pack, known: Parameters, counted: Counted, drawn: Draws, sure: float) -> Iterator[Change]:
    low, high = _ends(drawn.fixes, sure)
    for place, (repair, cause) in enumerate(known.fixes):
        if counted.tried[place] >= SEEN:
            yield Change(
                "fixes", ("repairs", repair, "fixes", cause),
                f"{pack.repairs[repair].title}: {pack.causes[cause].title}", float(known.fixed[place]),
                float(counted.found.fixed[place]), float(low[place]), float(high[place]), float(counted.tried[place]),
            )  # fmt: skip


#: A chance that the records touched less often than this has nothing to say and is left out.
SEEN = 0.5


def _misreads(
    pack: Pack, known: Parameters, counted: Counted, prior: Prior, blocks: Sequence[Block], sure: float
) -> Iterator[Change]:
    for place, measurement in enumerate(known.slips):
        if known.slip[place] <= 0 or counted.read[place] < SEEN:
            continue
        low, high = slip_interval(blocks, counted, known, prior, place, sure)
        path: Path = ("measurements", measurement, "misread") if measurement else ("misread",)
        title = pack.measurements[measurement].title if measurement else "Misread, where a measurement names none"
        yield Change(
            "misread", path, title, float(known.slip[place]), float(counted.found.slip[place]), low, high,
            float(counted.read[place]),
        )  # fmt: skip


def _planned(pack: Pack) -> dict[str, float]:
    """The pack's minutes of each step, those of looking for the symptom among them where all symptoms have the same."""
    planned = {key: one.minutes for key, one in pack.measurements.items()}
    planned |= {key: one.minutes for key, one in pack.repairs.items()}
    if len(pack.symptoms) == 1:
        planned["seen"] = next(iter(pack.symptoms.values())).seen.minutes
    return planned | ({"refer": pack.refer.minutes} if pack.refer is not None else {})


def _minutes(pack: Pack, minutes: Minutes) -> Iterator[Change]:
    steps = {one.ask: one for one in minutes.steps}
    blocks = (("measurements", pack.measurements), ("repairs", pack.repairs))
    paths: list[tuple[str, Path]] = [(key, (block, key, "minutes")) for block, rows in blocks for key in rows]
    paths += [("seen", ("symptoms", next(iter(pack.symptoms), ""), "seen", "minutes")), ("refer", ("refer", "minutes"))]
    for ask, path in paths:
        if ask in steps:
            one = steps[ask]
            title = "Quoting" if ask == "refer" else pack.title_of(ask)
            yield Change("minutes", path, title, one.before, one.after, one.low, one.high, float(one.timings))


def _ends(drawn: Floats, sure: float) -> tuple[Floats, Floats]:
    low, high = np.quantile(drawn, [(1.0 - sure) / 2.0, (1.0 + sure) / 2.0], axis=0)
    return low, high
