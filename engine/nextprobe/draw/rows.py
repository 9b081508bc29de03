"""The plan as a tree of rows: one row a step or end, what is rare folded into one row beside its likelier brothers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from nextprobe.draw.endings import Endings
from nextprobe.draw.words import Words, minutes, share
from nextprobe.plan.follow import Branch, Place

#: Repairs of an end that are named one by one.
NAMED = 3
#: Answers of a folded row that are named.
TOLD = 3


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the tree.

    kind: measure, history, repair, order (measuring is over: repairs in the best order), quote, found, stop or fold.
    label: what was told to get here. own: the step's own minutes in words; detail: bench moves and what else there is
    to say. chance: share of all jobs; minutes: expected from here to the end of such a job.
    sides: rarer ways on; main: the likeliest.
    """

    kind: str
    label: str
    title: str
    own: str
    detail: str
    chance: float
    minutes: float
    sides: tuple[Row, ...] = ()
    main: Row | None = None

    def walk(self) -> Iterator[Row]:
        """This row and all below it, in the order in which they are drawn."""
        row: Row | None = self
        while row is not None:
            yield row
            for side in row.sides:
                yield from side.walk()
            row = row.main


def rows_of(words: Words, root: Place, least: float) -> Row:
    """The rows of the tree below `root`; branches that fewer than `least` of all jobs take are folded."""
    return _Rows(words, Endings(words), least).row(root, "")


@dataclass(frozen=True)
class _Rows:
    words: Words
    endings: Endings
    least: float

    def row(self, place: Place, label: str) -> Row:
        if not place.branches:
            return self._end(place, label)
        words, action = self.words, place.action
        details = _details(words, place)
        shown = [branch for branch in place.branches if branch.chance >= self.least]
        rare = [branch for branch in place.branches if branch.chance < self.least]
        if len(rare) == 1 and (shown or not label) and _leaves(rare[0]) == 1:
            # An end takes no more room than the row that would fold it.
            shown, rare = list(place.branches), []
        folds: tuple[Row, ...] = ()
        if rare and (shown or not label):
            folds = (self._fold(place, rare),)
        elif rare:
            details.append(f"then {_count(rare)}, {self.endings.said(rare)}")
        rows = [self._branch(place, branch) for branch in shown]
        likeliest = max(range(len(rows)), key=lambda number: shown[number].chance, default=-1)
        sides = tuple(row for number, row in enumerate(rows) if number != likeliest)
        return Row(
            words.kind(action), label, words.title(action), minutes(place.own), " · ".join(details),
            place.chance, place.minutes, (*sides, *folds), rows[likeliest] if rows else None,
        )  # fmt: skip

    def _branch(self, place: Place, branch: Branch) -> Row:
        label = self.words.outcome(place.action, branch)
        if branch.place is None:
            return Row("stop", label, "Stop for safety, and quote", "", "", branch.chance, branch.minutes)
        return self.row(branch.place, label)

    def _fold(self, place: Place, rare: list[Branch]) -> Row:
        chance = sum(branch.chance for branch in rare)
        spent = sum(branch.chance * branch.minutes for branch in rare)
        named = [self.words.outcome(place.action, branch) for branch in rare[:TOLD]]
        more = f" or {len(rare) - TOLD} more" if len(rare) > TOLD else ""
        title = f"{_count(rare)}, {share(chance)} of jobs"
        each = spent / chance if chance > 0 else 0.0
        return Row("fold", " / ".join(named) + more, title, "", self.endings.said(rare), chance, each)

    def _end(self, place: Place, label: str) -> Row:
        words = self.words
        own = minutes(place.own) if place.action.kind == "repair" else ""
        moved = words.moves(place)
        if not place.order:
            kind = "found" if place.action.kind == "found" else "quote"
            return Row(kind, label, end_of(words, place), own, moved, place.chance, place.minutes)
        first = f"first {moved}" if moved else ""
        return Row("order", label, end_of(words, place), own, first, place.chance, place.minutes)


def end_of(words: Words, place: Place) -> str:
    """What is done where measuring is over: the repairs in their order, each with its share of these jobs."""
    if not place.order:
        return words.title(place.action)
    whole = max(place.chance, 1e-300)
    parts = []
    for number, tried in enumerate(place.order[:NAMED], 1):
        mark = f"{number}. " if len(place.order) > 1 else ""
        parts.append(f"{mark}{words.repair(tried.repair)} ({share(tried.cured / whole)})")
    if len(place.order) > NAMED:
        parts.append(f"{len(place.order) - NAMED} more repairs")
    if place.quoted > 1e-9:
        parts.append(f"then {words.quote} ({share(place.quoted / whole)})")
    return f"Repair: {'; '.join(parts)}"


def _details(words: Words, place: Place) -> list[str]:
    moved = words.moves(place)
    parts = [f"first {moved}"] if moved else []
    if place.action.kind == "repair":
        parts.append(f"gone in {share(place.cured / max(place.chance, 1e-300))} of these jobs")
    return parts


def _leaves(branch: Branch) -> int:
    return 1 if branch.place is None else branch.place.ends


def _count(rare: list[Branch]) -> str:
    count = sum(_leaves(branch) for branch in rare)
    return f"{count} more branch{'es' if count != 1 else ''}"
