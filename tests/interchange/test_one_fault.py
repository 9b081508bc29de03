"""The belief of one fault read back by a general-purpose library: the same posteriors to 1e-6.

Source: pyagrum (reads the Interchange Format for Bayesian networks, exact inference by lazy propagation).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from nextprobe import Walk, load_pack
from nextprobe.errors import SituationError
from nextprobe.interchange import one_fault
from nextprobe.interchange.bif import bif_text
from nextprobe.interchange.network import Network
from nextprobe.interchange.one_fault import LARGEST, one_fault_network
from nextprobe.pack.pack import Pack
from nextprobe.resources import packs_dir
from tests.oracle.networks import gum
from tests.oracle.packs import small_pack, typed

TOLERANCE = 1e-6
SOUND = Path(__file__).parent.parent / "pack" / "sound"
BUNDLED = [
    ("no-picture", None),
    ("no-picture", "brindle-14"),
    ("no-picture", "tansy-12"),
    ("no-reaction", None),
    ("no-reaction", "brindle-14"),
    ("dynamo-light", None),
    (str(SOUND), None),
]


def read_back(network: Network, folder: Path) -> Any:
    path = folder / "belief.bif"
    path.write_text(bif_text(network), encoding="utf-8")
    return gum.loadBN(str(path))


def posterior(net: Any, told: Mapping[str, str]) -> dict[str, float]:
    inference = gum.LazyPropagation(net)
    inference.setTargets({"cause"})
    inference.setEvidence(dict(told))
    found = inference.posterior("cause")
    labels = net.variable("cause").labels()
    return dict(zip(labels, (float(chance) for chance in found.tolist()), strict=True))


def random_readings(rng: np.random.Generator, network: Network, pack: Pack, count: int) -> dict[str, str]:
    """Outcomes that do not end the walk, some of them at odds with each other."""
    names = [one.name for one in network.variables if one.name in pack.measurements or one.name in pack.history]
    told = {}
    for name in rng.choice(names, size=min(count, len(names)), replace=False).tolist():
        if name in pack.history:
            states = ["reported", "denied"]
        else:
            states = [key for key, one in pack.measurements[name].outcomes.items() if not one.stop]
        told[name] = str(rng.choice(states))
    return told


@pytest.mark.parametrize(("ref", "board"), BUNDLED)
def test_a_pack_read_back_believes_the_same(ref: str, board: str | None, tmp_path: Path) -> None:
    pack = replace(load_pack(ref, board), pairs=0.0)
    network = one_fault_network(pack)
    net = read_back(network, tmp_path)
    rng = np.random.default_rng(5)
    for count in (0, 1, 2, 3, 5, 8, 13, 20, 30):
        told = random_readings(rng, network, pack, count)
        walk = Walk(pack)
        for name, state in told.items():
            walk.tell(name, state)
        found, wanted = posterior(net, told), walk.belief()
        assert set(wanted) <= set(found)
        assert found == pytest.approx({cause: wanted.get(cause, 0.0) for cause in found}, abs=TOLERANCE)


@pytest.mark.parametrize("seed", range(20))
def test_a_generated_pack_read_back_believes_the_same(seed: int, tmp_path: Path) -> None:
    rng = np.random.default_rng(seed)
    pack = typed({**small_pack(rng), "pairs": 0.0, "misread": 0.02})
    options = {"fitted": str(rng.choice(["one", "two"]))}
    network = one_fault_network(pack, "dark", options)
    net = read_back(network, tmp_path)
    for count in (0, 2, 4, 6):
        told = random_readings(rng, network, pack, count)
        walk = Walk(pack, "dark", options=options)
        for name, state in told.items():
            walk.tell(name, state)
        wanted = walk.belief()
        assert posterior(net, told) == pytest.approx(
            {cause: wanted.get(cause, 0.0) for cause in (*pack.causes, "unlisted")}, abs=TOLERANCE
        )


@pytest.mark.parametrize(("ref", "board"), BUNDLED)
def test_no_table_is_large_and_every_row_is_one_of_chances(ref: str, board: str | None) -> None:
    for one in one_fault_network(load_pack(ref, board)).variables:
        assert one.table.shape == (*(len(parent.states) for parent in one.parents), len(one.states))
        assert one.table.size <= LARGEST, one.name
        assert np.allclose(one.table.sum(axis=-1), 1.0, atol=1e-12), one.name
        assert (one.table >= 0).all()


def test_a_table_that_would_be_large_is_told_in_two_figures(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    pack = load_pack("dynamo-light")
    direct = posterior(read_back(one_fault_network(pack), tmp_path), {"rear_light": "dim", "dynamo_volts": "low"})
    monkeypatch.setattr(one_fault, "LARGEST", 120)
    network = one_fault_network(pack)
    assert "cause__block" in [one.name for one in network.variables]
    assert max(one.table.size for one in network.variables) < 22 * 16
    split = posterior(read_back(network, tmp_path), {"rear_light": "dim", "dynamo_volts": "low"})
    assert split == pytest.approx(direct, abs=1e-9)


def test_an_effect_is_believed_as_the_causes_say(tmp_path: Path) -> None:
    """By hand: `dynamo_silent` comes from the four causes that lead to it, each with its chance given the symptom."""
    net = read_back(one_fault_network(load_pack("dynamo-light"), options={"dynamo_kind": "hub"}), tmp_path)
    inference = gum.LazyPropagation(net)
    # On a hub: winding open 0.6 surely, winding shorted 0.4 with 0.2 of (0.8 or 0.2 or both, so that it is dark: 0.84).
    weights = sum(one.weight for one in load_pack("dynamo-light").causes.values() if not one.only_if)
    weights += sum(
        one.weight
        for one in load_pack("dynamo-light").causes.values()
        if one.only_if and "dynamo_kind" not in one.only_if[0]
    )
    wanted = 0.97 * (0.6 * 1.0 + 0.4 * 0.2 / 0.84) / weights
    assert float(inference.posterior("dynamo_silent")[1]) == pytest.approx(wanted, abs=1e-9)


def test_too_many_hypotheses_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(one_fault, "MOST_HYPOTHESES", 10)
    with pytest.raises(SituationError, match="21 hypotheses"):
        one_fault_network(load_pack("dynamo-light"))


def test_the_bundled_packs_are_all_here() -> None:
    assert {path.parent.name for path in packs_dir().glob("*/pack.yaml")} <= {ref for ref, _ in BUNDLED}
