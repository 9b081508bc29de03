"""Two versions of a pack side by side: what changed in words, and what that does to minutes and to cases."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from nextprobe.errors import SituationError
from nextprobe.model.hypotheses import Hypotheses, make_hypotheses, rule_table
from nextprobe.pack.load import load_pack
from nextprobe.pack.numbers import Number, numbers
from nextprobe.pack.pack import Measurement, Pack
from nextprobe.study.spread import cores
from nextprobe.study.versions_changes import Change, changes
from nextprobe.study.versions_renamed import renamed, with_names
from nextprobe.study.versions_told import BothCase, Side, cases_on_both, plan_both


@dataclass(frozen=True)
class Versions:
    """old, new: None where there was no time to plan it; changes: what differs; cases: those of both on both."""

    old: Side | None
    new: Side | None
    changes: tuple[Change, ...]
    cases: tuple[BothCase, ...]

    @property
    def minutes(self) -> float | None:
        """What a job takes more by the new version; None where one was not planned."""
        return None if self.old is None or self.new is None else self.new.minutes - self.old.minutes

    @property
    def lost(self) -> tuple[BothCase, ...]:
        """The cases that hold on the old version and not on the new one."""
        return tuple(case for case in self.cases if case.old and case.new is False)

    @property
    def won(self) -> tuple[BothCase, ...]:
        """The cases that hold on the new version and not on the old one."""
        return tuple(case for case in self.cases if case.new and case.old is False)


def versions(
    old: str,
    new: str,
    *,
    board: str | None = None,
    symptom: str | None = None,
    lacks: Collection[str] = (),
    seconds: float | None = None,
    workers: int | None = None,
    cancel: Callable[[], bool] = lambda: False,
) -> Versions:
    """Compare the packs that `old` and `new` mean: bundled ids or paths.

    seconds: to plan each, as in `policy_figures`; without it both are planned equally deeply. workers: processes for
    plans and cases. cancel: asked now and then; True ends it with what there is.
    Raises PackError for a pack that cannot be used, SituationError for a machine that no cause fits.
    """
    before, after = load_pack(old, board), load_pack(new, board)
    hands = cores() if workers is None else workers
    names = renamed(before, after)
    told = tuple(_changes(before, after, names, symptom))
    sides = plan_both((old, new), board, symptom, lacks, seconds, hands, cancel)
    cases = () if cancel() else cases_on_both(old, new, names, hands, cancel)
    return Versions(sides.get(0), sides.get(1), told, cases)


def _changes(old: Pack, new: Pack, names: Mapping[str, str], symptom: str | None) -> Iterator[Change]:
    for was, now in names.items():
        yield Change("renamed", now, was, now, f"{was} is now called {now}")
    same = with_names(old, names)
    yield from changes(same, new, _Reading(new, symptom))
    yield from _sources(same, new)


class _Reading:
    """Whether two spellings of a measurement read every hypothesis of a pack alike."""

    def __init__(self, pack: Pack, symptom: str | None) -> None:
        chosen = next(iter(pack.symptoms), "") if symptom is None else symptom
        self.hypotheses: Hypotheses | None = None
        with suppress(SituationError):
            self.hypotheses = make_hypotheses(replace(pack, pairs=0.0), chosen, pack.known_options)

    def __call__(self, old: Measurement, new: Measurement) -> bool:
        """Whether they do; the outcomes must be the same."""
        if self.hypotheses is None or list(old.outcomes) != list(new.outcomes):
            return False
        both = [rule_table(one)[self.hypotheses.rule_index(one)] for one in (old, new)]
        return bool(np.allclose(both[0], both[1], rtol=0, atol=1e-12))


def _sources(old: Pack, new: Pack) -> Iterator[Change]:
    """Numbers that both have, and whose source is another: told by the two sources."""
    before = {one.path: one for one in numbers(old)}
    moved: dict[tuple[str, str], list[str]] = defaultdict(list)
    for one in numbers(new):
        was = before.get(one.path)
        if was is not None and _vouched(was) != _vouched(one):
            moved[_vouched(was), _vouched(one)].append(one.shown)
    for (was_from, is_from), paths in moved.items():
        more = f" and {len(paths) - 1} more" if len(paths) > 1 else ""
        words = f"source of {paths[0]}{more}: {was_from} → {is_from}"
        yield Change("source", paths[0], was_from, is_from, words)


def _vouched(one: Number) -> str:
    ref = one.source.ref if one.source is not None else ""
    return ", ".join(part for part in (one.status, ref, f"doubt {one.doubt:g}" if one.doubt > 1 else "") if part)


def as_json(found: Versions) -> dict[str, Any]:
    """The comparison for a program."""
    return {
        "old": found.old.as_dict() if found.old is not None else None,
        "new": found.new.as_dict() if found.new is not None else None,
        "minutes": found.minutes,
        "changes": [change.as_dict() for change in found.changes],
        "cases": [case.as_dict() for case in found.cases],
        "cases_lost": [case.name for case in found.lost],
        "cases_won": [case.name for case in found.won],
    }


def lines(found: Versions, listed: int | None = 60) -> list[str]:
    """The comparison in words, at most 80 columns; listed: how many changes at most, None for all."""
    from nextprobe.study.versions_lines import version_lines

    return list(version_lines(found.old, found.new, found.changes, found.cases, listed))
