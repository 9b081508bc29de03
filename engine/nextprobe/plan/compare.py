"""What a plan must beat, each at its fairest, and the plan itself, on the same simulated jobs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic

import numpy as np

from nextprobe.model.arrays import Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.baselines import FixedOrder, InformationPerMinute, RepairsOnly
from nextprobe.plan.follow import Place
from nextprobe.plan.played import play
from nextprobe.plan.simulate import Jobs, draw_jobs
from nextprobe.plan.stops import repaired, under_stops

#: Jobs drawn at a time, and so the fewest.
BATCH = 200
#: Jobs beyond which more would tell nothing that matters.
MOST = 20_000
#: Seconds that all of them together may take where no number of jobs is given.
SECONDS = 20.0
#: A standard error of this share of every mean is as good as anybody needs.
FINE = 0.002


@dataclass(frozen=True, slots=True)
class Way:
    """What one way of working costs: mean minutes a job, its standard error; when it stops measuring.

    more, more_error: minutes above the plan on the same jobs, and the standard error of that, which is smaller.
    """

    mean: float
    standard_error: float
    stop: str = ""
    more: float = 0.0
    more_error: float = 0.0


@dataclass(frozen=True, slots=True)
class Comparison:
    """ways: the baselines by name, each with the stop that was best on these very jobs; plan: the plan's policy."""

    jobs: int
    ways: dict[str, Way]
    plan: Way


def compare(
    model: Model,
    root: Place,
    jobs: int | None = None,
    *,
    seconds: float = SECONDS,
    cancel: Callable[[], bool] = lambda: False,
    say: Callable[[int, float], None] = lambda count, left: None,
) -> Comparison | None:
    """Simulate `jobs` jobs, or as many as take `seconds` (at least 200, at most 20,000); None where cancelled at once.

    Fewer where the means are known to 0.2 %, or where `cancel` says so. say: told the jobs done and the seconds left.
    The hidden causes and the luck are the same for every way, drawn from a fixed seed.
    """
    rng = np.random.default_rng(0)
    end, done = monotonic() + seconds, 0
    parts: list[_Part] = []
    while (size := BATCH if jobs is None else min(BATCH, jobs - done)) > 0:
        begun = monotonic()
        part = _simulated(model, root, draw_jobs(model, size, rng), cancel)
        if part is None:
            break
        parts.append(part)
        done += size
        if jobs is None and (done >= MOST or monotonic() * 2 - begun > end or _fine(parts)):
            break
        say(done, max(0.0, end - monotonic()))
    return _summed(parts) if parts else None


@dataclass(frozen=True, slots=True)
class _Part:
    """Minutes of a batch of jobs: of each question order (stops, n), of repairs alone and of the plan (n,)."""

    asked: dict[str, Floats]
    repairs: Floats
    plan: Floats
    stops: tuple[str, ...]


def _simulated(model: Model, root: Place, jobs: Jobs, cancel: Callable[[], bool]) -> _Part | None:
    asked: dict[str, Floats] = {}
    stops: tuple[str, ...] = ()
    for question in (FixedOrder(), InformationPerMinute()):
        found = under_stops(model, question, jobs, cancel)
        if found is None:
            return None
        asked[question.name], stops = found.minutes, found.stops
    numbers: Ints = np.arange(len(jobs.hypotheses))
    nothing = np.zeros((1, len(model.likelihoods)), dtype=bool)
    belief = model.prior[None, :], np.array([model.start]), nothing
    repairs = repaired(model, *belief, jobs, numbers, np.zeros_like(numbers))
    return _Part(asked, repairs, play(model, root, jobs).minutes, stops)


def _fine(parts: list[_Part]) -> bool:
    found = _summed(parts)
    return all(way.standard_error <= FINE * way.mean for way in (*found.ways.values(), found.plan))


def _summed(parts: list[_Part]) -> Comparison:
    plan = np.concatenate([part.plan for part in parts])
    ways: dict[str, Way] = {}
    for name in parts[0].asked:
        minutes = np.concatenate([part.asked[name] for part in parts], axis=1)
        best = int(minutes.mean(axis=1).argmin())
        ways[name] = _way(minutes[best], plan, parts[0].stops[best])
    ways[RepairsOnly().name] = _way(np.concatenate([part.repairs for part in parts]), plan)
    return Comparison(len(plan), ways, _way(plan, plan))


def _way(minutes: Floats, plan: Floats, stop: str = "") -> Way:
    more = minutes - plan
    return Way(float(minutes.mean()), _error(minutes), stop, float(more.mean()), _error(more))


def _error(minutes: Floats) -> float:
    return float(minutes.std(ddof=1) / np.sqrt(len(minutes))) if len(minutes) > 1 else 0.0
