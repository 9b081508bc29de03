"""``nextprobe plan``: the first step, what a job is expected to cost, what no plan can go below; in text or drawn."""

from __future__ import annotations

import argparse
import json
import math
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nextprobe.cli.planning import Progress, interruptible
from nextprobe.cli.written import write_file
from nextprobe.errors import UsageError

if TYPE_CHECKING:
    from nextprobe.model.compile import Compiled
    from nextprobe.pack.pack import Pack
    from nextprobe.plan.compare import Comparison, Way
    from nextprobe.plan.follow import Place
    from nextprobe.plan.plan import Plan

EPILOG = (
    "Efforts: fast answers at once; deep looks on for --seconds (10 where none are given) never dearer than fast; "
    "exact solves a small pack to the end, and a pack that is too large for it is planned as deep, which is then said. "
    "The status is optimal (proven), within_gap (at most 1 % above what no plan can go below) or stopped (neither). "
    "Ctrl-C takes the best so far. All minutes are bench minutes, with parts, risk and waiting at the pack's rates. "
    "The simpler ways are simulated on the same hidden causes as the plan, each with the stop that suits it best."
)


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``plan``."""
    parser.epilog = EPILOG
    parser.add_argument("pack", metavar="PACK", help="a bundled pack's id, a folder or a pack.yaml")
    parser.add_argument("--board", metavar="B", help="the board sheet of the machine")
    parser.add_argument("--symptom", metavar="S", help="what the owner reports, where the pack has several")
    parser.add_argument("--without", metavar="ID,…", help="instruments and skills that are not here")
    parser.add_argument("--effort", choices=["fast", "deep", "exact"], default="fast", help="how hard to look")
    parser.add_argument("--seconds", type=float, metavar="N", help="stop looking after so long")
    parser.add_argument("--depth", default="3", metavar="N|all", help="steps of the tree to print: 0, 1, …, all (3)")
    parser.add_argument("--jobs", type=int, metavar="N", help="jobs to simulate (else as many as take 20 seconds)")
    parser.add_argument("--no-baselines", action="store_true", help="do not simulate what simpler ways would cost")
    how = parser.add_mutually_exclusive_group()
    how.add_argument("--json", action="store_true", help="print the result for a program")
    how.add_argument(
        "--draw", metavar="FILE", help="write the plan as a tree to FILE.svg (one A4 page) or FILE.html (several)"
    )


def run(args: argparse.Namespace) -> int:
    """Plan from the pack's start; Ctrl-C gives the best so far."""
    depth, drawing = _depth(args.depth), _drawing(args.draw)
    if args.seconds is not None and not args.seconds >= 0:
        raise UsageError(f"--seconds is {args.seconds}.", "Give 0 or more.")
    if args.jobs is not None and args.jobs < 2:
        raise UsageError(f"--jobs is {args.jobs}.", "Give 2 or more.")

    from nextprobe.draw.words import Words
    from nextprobe.pack.load import load_pack
    from nextprobe.plan.follow import follow
    from nextprobe.walk import Walk

    pack = load_pack(args.pack, args.board)
    lacks = [part.strip() for part in (args.without or "").split(",") if part.strip()]
    compiled = Walk(pack, args.symptom, lacks=lacks).planning_model()
    plan, notes = _plan(compiled, args.effort, args.seconds)
    root, words = follow(compiled.model, plan.root), Words(pack, compiled)
    if drawing is not None:
        _write(drawing, pack, words, plan, root)
    wanted = not args.no_baselines and (drawing is None or args.jobs is not None) and not compiled.model.identify
    compared = _compared(compiled, root, args.jobs) if wanted else None
    if args.json:
        for note in notes:
            print(f"nextprobe: {note}", file=sys.stderr)
        print(json.dumps(_as_dict(pack, words, plan, root, args.effort, compared, depth), ensure_ascii=False))
        return 0
    print(f"{pack.title}: one fault, from the bench as a machine arrives")
    print(f"First: {words.title(plan.first)}")
    end = "to the end of a job, parts, risk and waiting counted in"
    if compiled.model.identify:
        end = "until the cause is known as well as this pack can tell it"
    print(f"Expected: {plan.expected_cost:.1f} minutes {end}")
    print(f"No plan can go below {plan.lower_bound:.1f} minutes. Status: {plan.status.replace('_', ' ')}")
    for note in notes:
        print(note)
    _print_compared(compared)
    if drawing is not None:
        print(f"Drawn: {args.draw}")
        return 0

    from nextprobe.draw.outline import outline

    for line in outline(words, root, depth):
        print(line)
    return 0


def _depth(text: str) -> float:
    if text.strip() == "all":
        return math.inf
    if not (text.isascii() and text.isdigit()):
        raise UsageError(f"--depth is {text!r}.", "Give a number of steps, 0 or more, or `all`.")
    return float(text)


def _drawing(name: str | None) -> Path | None:
    """Where to draw, known to be possible before any time is spent on planning."""
    if name is None:
        return None
    path = Path(name)
    if path.suffix.lower() not in (".svg", ".html"):
        raise UsageError(f"--draw {name!r} ends neither in .svg nor in .html.", "Name the file FILE.svg or FILE.html.")
    try:
        if not path.absolute().parent.is_dir():
            raise UsageError(f"There is no folder for {name!r}.", "Make it first, or name another.")
    except ValueError:
        raise UsageError(f"No file can be called {name!r}.", "Name another.") from None
    return path


def _plan(compiled: Compiled, effort: str, seconds: float | None) -> tuple[Plan, list[str]]:
    """The plan, and what has to be said about how it was made."""
    from nextprobe.plan.exact import MOST_ENTRIES, can_solve, entries
    from nextprobe.plan.plan import PATIENCE, make_plan

    notes = []
    model = compiled.model
    solvable = can_solve(model)
    if effort == "exact" and not solvable and model.identify:
        notes.append(
            "This pack names no repair and no quote, and its readings can err: that cannot be solved to the end; "
            "planned as fast."
        )
    elif effort == "exact" and not solvable:
        size = entries(model)
        combinations = f"{size:,.0f}" if size < 1e9 else f"about 10^{math.log10(size):.0f}"
        notes.append(
            f"This pack is too large to be solved to the end ({combinations} combinations of readings, repairs and "
            f"bench states; {MOST_ENTRIES:,} is the most): planned as deep."
        )
    looks = effort != "fast" and not (effort == "exact" and solvable) and not model.identify
    patience = seconds if seconds is not None else PATIENCE if looks else None
    if looks and patience == 0:
        notes.append("There were no seconds for deep: planned as fast.")
    with interruptible() as pressed, Progress(patience) as progress:
        plan = make_plan(model, effort, seconds, cancel=pressed, progress=progress.ends)
    if pressed():
        notes.append("Stopped by Ctrl-C: the best so far.")
    elif effort == "exact" and solvable and plan.status != "optimal":
        notes.append("There was no time to solve this pack to the end: the best so far.")
    return plan, notes


def _compared(compiled: Compiled, root: Place, jobs: int | None) -> Comparison | None:
    from nextprobe.plan.compare import SECONDS, compare

    with interruptible() as pressed, Progress(SECONDS if jobs is None else None) as progress:
        return compare(compiled.model, root, jobs, cancel=pressed, say=progress.jobs)


def _print_compared(compared: Comparison | None) -> None:
    if compared is None:
        return
    print(f"On {compared.jobs} simulated jobs, the same hidden causes for all:")
    print(f"  {'this plan':<28} {_figures(compared.plan)}")
    for name, way in compared.ways.items():
        more = f", {way.more:+.1f} ± {way.more_error:.1f} beside the plan"
        stop = f"; measures {way.stop}" if way.stop else ""
        print(f"  {name:<28} {_figures(way)}{more}{stop}")


def _figures(way: Way) -> str:
    return f"{way.mean:8.1f} ± {way.standard_error:.1f} minutes"


def _write(path: Path, pack: Pack, words: Any, plan: Plan, root: Place) -> None:
    from datetime import date

    from nextprobe.draw.plan import heading_of, plan_html, plan_svg

    draw = plan_svg if path.suffix.lower() == ".svg" else plan_html
    text = draw(heading_of(pack, words, plan, date.today()), words, root)
    write_file(str(path), text)


def _as_dict(
    pack: Pack, words: Any, plan: Plan, root: Place, effort: str, compared: Comparison | None, depth: float
) -> dict[str, Any]:
    from nextprobe.draw.outline import outline

    action = plan.first
    ids = {"measure": words.compiled.measurements, "repair": words.compiled.repairs}.get(action.kind, ())
    return {
        "pack": pack.id,
        "effort": effort,
        "expected_cost": plan.expected_cost,
        "lower_bound": plan.lower_bound,
        "status": plan.status,
        "first": ids[action.index] if ids else action.kind,
        "first_kind": action.kind,
        "jobs": compared.jobs if compared else 0,
        "simulated": _way(compared.plan) if compared else None,
        "baselines": {name: _way(way) for name, way in compared.ways.items()} if compared else {},
        "tree": list(outline(words, root, depth)),
    }


def _way(way: Way) -> dict[str, Any]:
    return {
        "mean": way.mean,
        "standard_error": way.standard_error,
        "stop": way.stop or None,
        "more": way.more,
        "more_error": way.more_error,
    }
