"""What a doubtful number does to the minutes is held against the plain way: change it, compile anew, add up the tree.

The oracle is arithmetic: the policy's tree, step by step, one belief at a time, with the costs and chances of the pack
as it would be; the changed pack is built from changed data, as if its file had been edited.
"""

from __future__ import annotations

import copy
import random
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from nextprobe.model.arrays import Floats
from nextprobe.model.merge import merged
from nextprobe.model.model import Model
from nextprobe.pack.build import build_pack
from nextprobe.pack.load import load_pack
from nextprobe.pack.numbers import Number, numbers
from nextprobe.pack.pack import Pack
from nextprobe.plan.deepen import Deepening
from nextprobe.plan.grown import Node
from nextprobe.plan.plan import make_plan
from nextprobe.quantity import parse_minutes
from nextprobe.study.doubts import PLANNED, Doubt, as_json, doubts, lines
from nextprobe.study.doubts_anew import lost_by
from nextprobe.study.doubts_changes import UNREAD, odds_times
from nextprobe.study.doubts_same import Machine, Same
from nextprobe.study.doubts_told import minutes_of
from nextprobe.study.doubts_written import written
from nextprobe.study.figures import policy_figures
from nextprobe.study.subject import Subject, subject_of
from tests.study.small import LAMP, ONE_CAUSE, ONLY_FINDS

SOUND = Path(__file__).parents[1] / "pack" / "sound" / "pack.yaml"
WITHOUT_SOURCE = re.sub(r"(?m)^source:.*\n", "", LAMP)
CHANCES = {"arc", "likelihood", "fixes", "risk", "misread", "unlisted", "base"}
TIMES = {"minutes", "wait"}


def lamp(tmp_path: Path) -> Pack:
    path = tmp_path / "pack.yaml"
    path.write_text(WITHOUT_SOURCE + "source: {kind: estimate, doubt: 3}\n", "utf-8")
    return load_pack(path)


def edited(pack: Pack, number: Number, factor: float) -> Pack:
    """The pack of data in which one number is another."""
    data: Any = copy.deepcopy({key: value for key, value in pack.data.items() if key != "pairs"})
    row: Any = data
    for part in number.path[:-1]:
        row = row[part]
    key, old = number.path[-1], row[number.path[-1]]
    if number.kind in CHANCES:
        row[key] = 1 / (1 + (1 - old) / (old * factor)) if 0 < old < 1 else old
    else:
        row[key] = (parse_minutes(old) if number.kind in TIMES or key == "wait_cap" else old) * factor
    if number.kind == "likelihood" and old < 1:
        for other in row:
            if other != key:
                row[other] *= (1 - row[key]) / (1 - old)
    return build_pack(data, files={}, content_hash="")


def added_up(model: Model, other: Model, node: Node, here: tuple[int, int], weights: Floats) -> float:
    """The minutes of a tree with the numbers of `other`, the steps and bench states of `model`; here: in both."""
    kind, index = node.action.kind, node.action.index
    mass = float(weights.sum())
    if mass <= 0:
        return 0.0
    if kind == "measure":
        at = node.state if node.state >= 0 else int(model.nearest_measurement[1][here[0], index])
        total = mass * float(other.ways[here[1], at] + other.minutes[index])
        for outcome, child in node.children.items():
            if not other.stops[index][outcome]:
                total += added_up(model, other, child, (at, at), weights * other.likelihoods[index][:, outcome])
        for ending in np.nonzero(other.stops[index])[0].tolist():
            total += float((weights * other.likelihoods[index][:, ending]).sum()) * float(other.refer[at])
        return total
    if kind == "repair":
        assert node.failed is not None, "solved to the end, so every failure is followed on"
        at = node.state if node.state >= 0 else int(model.nearest_repair[1][here[0], index])
        own = other.ways[here[1], at] + other.repair_minutes[index] + other.proof[index, at]
        after = int(other.proof_state[index, at])
        cured = float((weights * other.fixes[index]).sum())
        total = mass * float(own) + cured * float(other.tail[index, after])
        then = (int(model.proof_state[index, at]), after)
        return total + added_up(model, other, node.failed, then, weights * (1 - other.fixes[index]))
    at = node.state if node.state >= 0 else here[0]
    return mass * float(other.ways[here[1], at] + other.refer[at])


def asked_of(pack: Pack) -> list[tuple[Number, float]]:
    return [(one, factor) for one in numbers(pack) if one.kind not in UNREAD for factor in (2.0, 0.5, 1.3)]


@pytest.mark.parametrize("small", ["lamp", "sound"])
def test_each_number_of_a_small_pack_by_adding_up_the_tree(small: str, tmp_path: Path) -> None:
    pack = lamp(tmp_path) if small == "lamp" else load_pack(SOUND)
    machine = Machine(pack, next(iter(pack.symptoms)))
    model = machine.model
    plan = make_plan(model, "exact")
    assert plan.status == "optimal"
    same = Same(machine, written(model, plan.root))
    assert same.minutes == pytest.approx(plan.expected_cost, abs=1e-9)
    asked = asked_of(pack)
    moved = same.all(asked)
    assert moved is not None
    root, start = plan.root, (model.start, model.start)
    kinds = set()
    for (number, factor), got in zip(asked, moved, strict=True):
        other = machine.compile(edited(pack, number, factor)).model
        want = added_up(model, other, root, start, other.prior / other.prior.sum()) - plan.expected_cost
        assert got == pytest.approx(want, abs=1e-9), f"{number.shown} x {factor}"
        if abs(want) > 1e-6:
            kinds.add(number.kind)
    assert {"weight", "minutes", "fixes", "likelihood", "unlisted", "misread"} & kinds >= {"weight", "minutes", "fixes"}


@pytest.mark.parametrize(("id_", "board", "each"), [("dynamo-light", None, 6), ("no-picture", "brindle-14", 1)])
def test_numbers_of_every_kind_of_a_bundled_pack_by_compiling_anew(id_: str, board: str | None, each: int) -> None:
    pack = load_pack(id_, board)
    machine = Machine(pack, next(iter(pack.symptoms)))
    lean, _ = merged(machine.model)
    policy = Deepening(lean)  # its first tree, with all that a larger one has
    tree = written(lean, policy.policy())
    assert minutes_of(tree, lean) == pytest.approx(policy.upper, rel=1e-12)
    assert minutes_of(tree, machine.model) == pytest.approx(policy.upper, rel=1e-9)
    by_kind: dict[tuple[str, Any], list[tuple[Number, float]]] = {}
    for number, factor in asked_of(pack):
        by_kind.setdefault((number.kind, number.path[0]), []).append((number, factor))
    draw = random.Random(5)
    asked = [one for group in by_kind.values() for one in draw.sample(group, min(each, len(group)))]
    same = Same(machine, tree)
    moved = same.all(asked)
    assert moved is not None
    for (number, factor), got in zip(asked, moved, strict=True):
        want = minutes_of(tree, machine.compile(edited(pack, number, factor)).model) - same.minutes
        assert got == pytest.approx(want, abs=1e-9), f"{number.shown} x {factor}"


def studied(pack: Pack) -> tuple[Subject, tuple[Doubt, ...]]:
    subject = subject_of(pack)
    return subject, doubts(subject, policy_figures(subject.model), workers=1)


def test_what_is_lost_by_planning_with_a_wrong_number_is_the_difference_of_two_optima(tmp_path: Path) -> None:
    pack = lamp(tmp_path)
    subject, found = studied(pack)
    model = subject.model
    optimum = make_plan(model, "exact")
    root, start = optimum.root, (model.start, model.start)
    told = [one for one in found if one.lost is not None]
    assert len(told) == PLANNED
    for one in told:
        most = 0.0
        for factor in (one.number.doubt, 1 / one.number.doubt):
            other = subject_of(edited(pack, one.number, factor)).model
            right = make_plan(other, "exact").expected_cost
            most = max(most, added_up(model, other, root, start, other.prior / other.prior.sum()) - right)
        assert one.lost == pytest.approx(most, abs=1e-9), one.number.shown
        assert bool(one.steps) == bool(one.now)
        assert not one.steps or one.steps != one.now
    assert any(one.lost for one in told)


@pytest.mark.parametrize("text", [ONLY_FINDS, ONE_CAUSE], ids=["only finds", "one cause"])
def test_packs_that_only_find_or_know_but_one_cause(text: str, tmp_path: Path) -> None:
    path = tmp_path / "pack.yaml"
    path.write_text(re.sub(r"(?m)^source:.*\n", "", text) + "source: {kind: estimate, doubt: 2}\n", "utf-8")
    pack = load_pack(path)
    subject, found = studied(pack)
    machine = Machine(pack, subject.symptom)
    figures = policy_figures(subject.model)
    tree = written(figures.lean, figures.root)
    for one in found:
        other = machine.compile(edited(pack, one.number, one.number.doubt)).model
        assert one.times == pytest.approx(minutes_of(tree, other) - figures.upper, abs=1e-9), one.number.shown
    assert found


def test_a_number_that_hardly_changes_loses_nothing() -> None:
    """Two plans made alike for nearly the same numbers differ by chance; that is not told as a loss."""
    pack = load_pack("dynamo-light")
    machine = Machine(pack, next(iter(pack.symptoms)))
    weights = [one for one in numbers(pack) if one.kind == "weight"][:2]
    told = lost_by(machine, [(one, factor) for one in weights for factor in (1.0005, 2.0)], 1, lambda: False)
    assert told[0] is not None
    assert told[2] is not None
    assert (told[0].minutes, told[2].minutes) == pytest.approx((0, 0), abs=0.01)
    assert all(one is not None and one.minutes >= 0 for one in told)


def test_the_numbers_that_move_most_come_first_and_each_doubt_is_its_own(tmp_path: Path) -> None:
    pack = lamp(tmp_path)
    _, found = studied(pack)
    assert [one.moves for one in found] == sorted((one.moves for one in found), reverse=True)
    by_path: Mapping[str, Doubt] = {one.number.shown: one for one in found}
    # A repair's minutes are linear: tripled they add twice what they cost, and a third of them saves two thirds.
    renewed = by_path["repairs.replace_bulb.minutes"]
    assert renewed.times == pytest.approx(-3 * renewed.over, abs=1e-9)
    assert renewed.times > 0
    assert {one.number.kind for one in found} & UNREAD == set()


def test_a_number_without_doubt_is_not_asked_about(tmp_path: Path) -> None:
    path = tmp_path / "pack.yaml"
    path.write_text(WITHOUT_SOURCE, encoding="utf-8")
    _, found = studied(load_pack(path))
    assert found == ()
    assert "no number" in lines(found)[0]


def test_odds() -> None:
    # By hand: 0.8 is 4 to 1; twice that is 8 to 1.
    assert odds_times(0.8, 2) == pytest.approx(8 / 9, abs=1e-15)
    assert (odds_times(0.0, 5), odds_times(1.0, 0.2)) == (0.0, 1.0)


def test_it_can_be_interrupted_and_kept_short(tmp_path: Path) -> None:
    subject = subject_of(lamp(tmp_path))
    figures = policy_figures(subject.model)
    assert doubts(subject, figures, cancel=lambda: True) == ()
    steps: list[tuple[int, int]] = []
    found = doubts(subject, figures, seconds=0, workers=1, progress=lambda done, of: steps.append((done, of)))
    assert found
    assert all(one.lost is None for one in found)
    assert steps[-1][0] == steps[-1][1]
    assert [done for done, _ in steps] == sorted(done for done, _ in steps)


def test_in_words_and_for_a_program(tmp_path: Path) -> None:
    pack = lamp(tmp_path)
    _, found = studied(pack)
    said = lines(found, pack.title_of)
    assert max(map(len, said)) <= 80
    assert sum(one.number.shown in line for line in said for one in found[:1]) == 1
    plain = as_json(found)
    assert len(plain) == len(found)
    assert {"path", "line", "minutes_times", "minutes_over", "lost_minutes", "other_steps"} <= set(plain[0])
