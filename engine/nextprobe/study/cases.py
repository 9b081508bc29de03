"""A pack's own tests: each case is a machine, what is told of it, and what must follow."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from nextprobe.errors import NextprobeError, PackError
from nextprobe.pack.cache import load_source
from nextprobe.pack.load import load_pack
from nextprobe.pack.pack import Pack
from nextprobe.resources import find_pack, is_file
from nextprobe.study.astray import astray
from nextprobe.study.spread import spread
from nextprobe.walk import Walk
from nextprobe.walk.decide import Decider
from nextprobe.walk.play import play
from nextprobe.walk.words import leading


@dataclass(frozen=True, slots=True)
class Wish:
    """One thing a case expects, whether it holds, and what was found instead."""

    wish: str
    holds: bool
    found: str


@dataclass(frozen=True, slots=True)
class CaseResult:
    """One case: passed when all its wishes hold. `astray`: the step at which it went wrong, or why it broke off."""

    name: str
    passed: bool
    wishes: tuple[Wish, ...]
    ending: str = ""
    minutes: float | None = None
    steps: int = 0
    astray: str = ""

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        return {
            "name": self.name,
            "passed": self.passed,
            "ending": self.ending or None,
            "minutes": self.minutes,
            "steps": self.steps,
            "astray": self.astray or None,
            "expect": [{"wish": w.wish, "holds": w.holds, "found": w.found} for w in self.wishes],
        }


def load_cases(ref: str) -> list[dict[str, Any]]:
    """The cases that stand beside a pack; empty where there are none. Raises PackError with all findings."""
    path = find_pack(ref).parent / "cases.yaml"
    if not path.is_file():
        return []
    source = load_source(path)
    if any(finding.severity == "error" for finding in source.findings):
        raise PackError(f"The cases of the pack {path.parent.name!r} cannot be used.", source.findings)
    return list(source.data or [])


@dataclass
class Runner:
    """Runs cases of one pack, each board's pack loaded once and each machine's hypotheses made once.

    Sent to each process that helps.
    """

    ref: str
    _packs: dict[str | None, Pack] = field(default_factory=dict)
    _machines: dict[str, Walk] = field(default_factory=dict)

    def __call__(self, case: Mapping[str, Any]) -> CaseResult:
        """Run one case."""
        board = case.get("board")
        if board not in self._packs:
            self._packs[board] = load_pack(self.ref, _board_of(self.ref, board))
        pack = self._packs[board]
        return run_case(pack, case, lambda: self._begun(pack, case))

    def _begun(self, pack: Pack, case: Mapping[str, Any]) -> Walk:
        """The case's walk at its start: a copy of the first walk on such a machine, planned for by itself."""
        key = repr([case.get(name) for name in ("board", "symptom", "options", "lacks", "limit", "bench")])
        if key not in self._machines:
            self._machines[key] = walk_of(pack, case)
        first = self._machines[key]
        return first.forked(Decider(pack, first.situation.symptom))

    def __getstate__(self) -> dict[str, Any]:
        # A process loads them from the cache, quicker than they are sent.
        return {"ref": self.ref, "_packs": {}, "_machines": {}}


def run_cases(
    ref: str,
    on_case: Callable[[CaseResult], None] | None = None,
    *,
    workers: int = 1,
    cancel: Callable[[], bool] = lambda: False,
) -> list[CaseResult]:
    """Run every case of the pack that `ref` means; the results in their order.

    on_case: called with each result, in the order in which they are done. workers: processes to share them.
    cancel: asked now and then; True ends it with what is done.
    """
    runner = Runner(ref)
    # A pack that cannot be used is refused here, also where it has no cases; and every board of the cases with it.
    load_pack(ref)
    results: dict[int, CaseResult] = {}
    for place, result in spread(runner, load_cases(ref), workers, cancel):
        results[place] = result
        if on_case is not None:
            on_case(result)
    return [results[place] for place in sorted(results)]


def _board_of(ref: str, board: str | None) -> str | None:
    """A case names a bundled sheet, or one that lies beside its pack."""
    if board is None:
        return None
    beside = find_pack(ref).parent / board
    return str(beside) if is_file(Path(beside)) else board


def walk_of(pack: Pack, case: Mapping[str, Any], kind: type[Walk] = Walk) -> Walk:
    """The walk of a case before anything is told."""
    return kind(
        pack,
        case.get("symptom"),
        {str(k): str(v) for k, v in (case.get("options") or {}).items()},
        case.get("lacks") or (),
        case.get("limit"),
        case.get("bench"),
    )


def tell(walk: Walk, case: Mapping[str, Any]) -> None:
    """Tell what the case tells, then let the planner ask where it has answers."""
    for id_, told in (case.get("told") or {}).items():
        walk.tell(str(id_), str(told))
    if "answers" in case:
        play(walk, {str(k): str(v) for k, v in case["answers"].items()})


def run_case(pack: Pack, case: Mapping[str, Any], begun: Callable[[], Walk] | None = None) -> CaseResult:
    """Run one case. What cannot be told is a failed case that says where, never an exception.

    begun: gives the walk of the case before anything is told; made here unless given.
    """
    name = str(case["name"])
    walk: Walk | None = None
    try:
        walk = walk_of(pack, case) if begun is None else begun()
        tell(walk, case)
    except NextprobeError as error:
        step = f"step {len(walk.path) + 1}: " if walk is not None else ""
        return CaseResult(name, False, (), astray=f"{step}{error}")
    ended = "answers" in case
    ending = walk.ending if ended else None
    wishes = tuple(_wish(walk, one, ending.what if ending else "") for one in case["expect"])
    failed = [one for one, wish in zip(case["expect"], wishes, strict=True) if not wish.holds]
    return CaseResult(
        name=name,
        passed=not failed,
        wishes=wishes,
        ending=ending.what if ending else "",
        minutes=ending.minutes if ending else None,
        steps=len(walk.path),
        astray=astray(walk, failed[0], lambda kind: _again(pack, case, kind)) if failed else "",
    )


def _again(pack: Pack, case: Mapping[str, Any], kind: type[Walk]) -> Walk:
    """The case once more, by a walk of another kind."""
    walk = walk_of(pack, case, kind)
    tell(walk, case)
    return walk


def _wish(walk: Walk, expect: Mapping[str, Any], ending: str) -> Wish:
    if "first" in expect:
        first, chance = leading(walk.belief())[0]
        return Wish(f"first {expect['first']}", first == expect["first"], f"{first} {chance:.3f}")
    if "cause" in expect:
        wanted: Sequence[str] = [expect["cause"]] if isinstance(expect["cause"], str) else list(expect["cause"])
        chance = walk.any_present(wanted)
        low, high = float(expect.get("at_least", 0.0)), float(expect.get("at_most", 1.0))
        bound = f"at least {low:g}" if "at_least" in expect else f"at most {high:g}"
        return Wish(f"{' or '.join(wanted)} {bound}", low <= chance <= high, f"{chance:.3f}")
    if "within_minutes" in expect:
        minutes = walk.minutes
        return Wish(
            f"within {expect['within_minutes']:g} minutes", minutes <= expect["within_minutes"], f"{minutes:.1f}"
        )
    if "ending" in expect:
        return Wish(f"ending {expect['ending']}", ending == expect["ending"], ending or "still open")
    asked = [expect["asked"]] if isinstance(expect["asked"], str) else list(expect["asked"])
    missing = [id_ for id_ in asked if all(step.ask != id_ for step in walk.path)]
    return Wish(f"asked {', '.join(asked)}", not missing, f"never asked: {', '.join(missing)}" if missing else "asked")
