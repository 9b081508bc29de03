"""``nextprobe plan``: the first step and why, what a job is expected to cost, and what no plan can go below."""

from __future__ import annotations

import argparse
import json
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from nextprobe.errors import UsageError

if TYPE_CHECKING:
    from nextprobe.model.compile import Compiled
    from nextprobe.pack.pack import Pack
    from nextprobe.plan.grown import Node
    from nextprobe.plan.plan import Plan

#: Jobs that each baseline is simulated on; the same hidden causes and the same luck for all.
JOBS = 100


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``plan``."""
    parser.add_argument("pack", metavar="PACK", help="a bundled pack's id, a folder or a pack.yaml")
    parser.add_argument("--board", metavar="B", help="the board sheet of the machine")
    parser.add_argument("--symptom", metavar="S", help="what the owner reports, where the pack has several")
    parser.add_argument("--without", metavar="ID,…", help="instruments and skills that are not here")
    parser.add_argument("--effort", choices=["fast", "deep", "exact"], default="fast", help="how hard to look")
    parser.add_argument("--seconds", type=float, metavar="N", help="stop looking after so long")
    parser.add_argument("--depth", type=int, default=3, metavar="N", help="levels of the tree to print")
    parser.add_argument("--no-baselines", action="store_true", help="do not simulate what simpler ways would cost")
    parser.add_argument("--json", action="store_true", help="print the result for a program")


def run(args: argparse.Namespace) -> int:
    """Plan from the pack's start; Ctrl-C gives the best so far."""
    from nextprobe.pack.load import load_pack
    from nextprobe.plan.plan import make_plan
    from nextprobe.walk import Walk

    if args.seconds is not None and not args.seconds >= 0:
        raise UsageError(f"--seconds is {args.seconds}.", "Give 0 or more.")
    pack = load_pack(args.pack, args.board)
    lacks = [part.strip() for part in (args.without or "").split(",") if part.strip()]
    walk = Walk(pack, args.symptom, lacks=lacks)
    compiled = walk.planning_model()
    with _interruptible() as pressed:
        plan = make_plan(compiled.model, args.effort, args.seconds, cancel=pressed)
    baselines = {} if args.no_baselines else _baselines(compiled)
    if args.json:
        print(json.dumps(_as_dict(pack, compiled, plan, args.effort, baselines, args.depth), ensure_ascii=False))
        return 0
    print(f"{pack.title}: one fault, from the bench as a machine arrives")
    print(f"First: {_name(pack, compiled, plan.root)}")
    print(f"Expected: {plan.expected_cost:.1f} minutes to the end of a job, parts, risk and waiting counted in")
    print(f"No plan can go below {plan.lower_bound:.1f} minutes. Status: {plan.status.replace('_', ' ')}")
    if args.effort == "exact" and plan.status != "optimal":
        print("This pack is too large to be solved to the end; the plan is the best that was found.")
    for name, (mean, error) in baselines.items():
        print(f"  {name:<28} {mean:8.1f} ± {error:.1f} minutes ({JOBS} simulated jobs)")
    for line in _tree(pack, compiled, plan.root, args.depth, ""):
        print(line)
    return 0


@contextmanager
def _interruptible() -> Iterator[Callable[[], bool]]:
    """While it holds, Ctrl-C does not end the program: it answers yes to the question that is given."""
    pressed: list[int] = []
    if threading.current_thread() is not threading.main_thread():
        yield lambda: False  # Ctrl-C is the main thread's
        return
    before = signal.signal(signal.SIGINT, lambda number, frame: pressed.append(number))
    try:
        yield lambda: bool(pressed)
    finally:
        signal.signal(signal.SIGINT, before)


def _baselines(compiled: Compiled) -> dict[str, tuple[float, float]]:
    import numpy as np

    from nextprobe.plan.baselines import FixedOrder, InformationPerMinute, RepairsOnly
    from nextprobe.plan.policy import Policy
    from nextprobe.plan.simulate import draw_jobs, simulate

    jobs = draw_jobs(compiled.model, JOBS, np.random.default_rng(0))
    found = {}
    policies: list[Policy] = [FixedOrder(), RepairsOnly(), InformationPerMinute()]
    for policy in policies:
        if sys.stderr is not None and sys.stderr.isatty():
            print(f"simulating: {policy.name:<40}", file=sys.stderr, end="\r", flush=True)
        costs = simulate(compiled.model, policy, jobs)
        found[policy.name] = (costs.mean, costs.standard_error)
    return found


def _name(pack: Pack, compiled: Compiled, node: Node) -> str:
    action = node.action
    if action.kind == "measure":
        return pack.title_of(compiled.measurements[action.index])
    if action.kind == "repair":
        return pack.title_of(compiled.repairs[action.index])
    return pack.refer.title if pack.refer is not None else "Nothing is left"


def _outcomes(pack: Pack, compiled: Compiled, index: int) -> list[str]:
    id_ = compiled.measurements[index]
    if id_ in pack.history:
        return ["reported", "denied"]
    names = [""]
    for measurement in (pack.measurements[id_], *(m for m in pack.measurements.values() if m.with_ == id_)):
        names = [f"{one} {outcome}".strip() for one in names for outcome in measurement.outcomes]
    size = compiled.model.likelihoods[index].shape[1]
    return names if len(names) == size else list(pack.measurements[id_].outcomes)


def _tree(pack: Pack, compiled: Compiled, node: Node, depth: int, indent: str) -> Iterator[str]:
    yield f"{indent}{_name(pack, compiled, node)}"
    if depth <= 0:
        return
    if node.action.kind == "measure":
        names = _outcomes(pack, compiled, node.action.index)
        for outcome, child in sorted(node.children.items()):
            yield f"{indent}  if {names[outcome]}:"
            yield from _tree(pack, compiled, child, depth - 1, indent + "    ")
    elif node.failed is not None:
        yield f"{indent}  if it is still there:"
        yield from _tree(pack, compiled, node.failed, depth - 1, indent + "    ")


def _as_dict(
    pack: Pack, compiled: Compiled, plan: Plan, effort: str, baselines: dict[str, tuple[float, float]], depth: int
) -> dict[str, Any]:
    action = plan.first
    ids = {"measure": compiled.measurements, "repair": compiled.repairs}.get(action.kind, ())
    return {
        "pack": pack.id,
        "effort": effort,
        "expected_cost": plan.expected_cost,
        "lower_bound": plan.lower_bound,
        "status": plan.status,
        "first": ids[action.index] if ids else action.kind,
        "first_kind": action.kind,
        "baselines": {name: {"mean": mean, "standard_error": error} for name, (mean, error) in baselines.items()},
        "tree": list(_tree(pack, compiled, plan.root, depth, "")),
    }
