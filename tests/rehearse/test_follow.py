"""Whole jobs on simulated machines, every step the engine's. That they end is common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from statistics import mean, stdev

import pytest

from nextprobe import Walk, load_pack
from nextprobe.pack.pack import Pack
from nextprobe.rehearse.follow import answer, follow
from nextprobe.rehearse.make import Hidden, make_machine
from nextprobe.resources import bundled_packs, lessons_dir
from nextprobe.study.figures import policy_figures
from nextprobe.study.subject import subject_of
from nextprobe.walk import Ask

OPTIONS = {"dynamo_kind": "hub", "lamp_kind": "diode", "return_path": "wire", "rear_lamp": "fed"}
#: Machines of each pack in a plain run; the soak does twenty of each.
FEW, MANY = 1, 20


def ends(ref: str, seed: int) -> str:
    pack = load_pack(ref)
    symptom = next(iter(pack.symptoms))
    # As jobs come in, and every second one with readings that slip.
    hidden = Hidden(seed, whole=True, slips=0.05 if seed % 2 else None)
    machine = make_machine(pack, symptom, pack.known_options, hidden)
    ending = follow(Walk(pack, symptom), machine)
    if ending.what == "repaired":
        assert not machine.shows or machine.slipped
    return ending.what


@pytest.mark.parametrize("seed", range(FEW))
@pytest.mark.parametrize("ref", bundled_packs())
def test_every_bundled_pack_is_rehearsed_to_the_end(ref: str, seed: int) -> None:
    assert ends(ref, seed) in ("repaired", "referred", "handed_over", "stopped", "unknown")


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(FEW, MANY))
@pytest.mark.parametrize("ref", bundled_packs())
def test_every_bundled_pack_is_rehearsed_to_the_end_many_times(ref: str, seed: int) -> None:
    assert ends(ref, seed) in ("repaired", "referred", "handed_over", "stopped", "unknown")


def test_the_same_seed_is_the_same_job() -> None:
    pack = load_pack(lessons_dir() / "torch")
    paths = []
    for _ in range(2):
        walk = Walk(pack)
        follow(walk, make_machine(pack, "dark", {}, Hidden(6)))
        paths.append([(step.ask, step.told) for step in walk.path])
    assert paths[0] == paths[1]
    assert len(paths[0]) > 2


def test_rehearsals_cost_on_average_what_the_study_says() -> None:
    """The study's expected minutes are worked out exactly from a plan; these are played, and share no code with it.

    Parts, risk and waiting count as the pack format has it ("Cost"); an end where the pack knows nothing more is
    priced like a quote there. Within three standard errors; the seeds are fixed.
    """
    pack = replace(load_pack("dynamo-light"), known_options=OPTIONS)
    expected = policy_figures(subject_of(pack).model, 2.0).upper
    asked: dict[tuple[tuple[str, str], ...], Ask] = {}
    costs = [_cost(pack, seed, asked) for seed in range(220)]
    assert abs(mean(costs) - expected) < 3 * stdev(costs) / len(costs) ** 0.5


def _cost(pack: Pack, seed: int, asked: dict[tuple[tuple[str, str], ...], Ask]) -> float:
    """Minutes of one job in all, led by outcomes, so that what was planned after the same answers serves again."""
    assert pack.refer is not None
    economics, extra = pack.economics, 0.0
    machine, walk = make_machine(pack, "front_dark", OPTIONS, Hidden(seed, whole=True)), Walk(pack, "front_dark")
    path: tuple[tuple[str, str], ...] = ()
    while True:
        if path not in asked:
            asked[path] = walk.ask()
        ask = asked[path]
        if ask.kind == "done":
            assert ask.ending is not None
            if ask.ending.what in ("unknown", "stopped"):
                extra += pack.refer.minutes + economics.money_minutes(pack.refer.parts)
            own = walk.minutes + sum(move.minutes for move in ask.ending.moves)
            return own + extra + economics.wait_minutes(walk.wait) + economics.money_minutes(walk.money)
        text = machine.reading(ask)
        if ask.kind == "repair":
            text = "done"  # the plan goes on after a risk that came true, and counts its price beforehand
            extra += economics.money_minutes(pack.repairs[ask.id].risk * economics.loss)
        if ask.kind == "refer":
            extra += economics.money_minutes(pack.refer.parts)
        walk.tell(ask.id, text)
        machine.told(ask.id, text)
        path = (*path, (ask.id, text))


def test_a_figure_is_always_one_that_the_walk_takes() -> None:
    pack = load_pack("no-reaction")
    symptom = next(iter(pack.symptoms))
    for seed in range(3):
        machine = make_machine(pack, symptom, pack.known_options, Hidden(seed))
        walk = Walk(pack, symptom, machine.options)
        for measurement in pack.measurements.values():
            ask = Ask("check" if measurement.is_check else "measure", measurement.id, "")
            assert walk.take(measurement.id, answer(walk, machine, ask)).outcome in measurement.outcomes
