"""The belief of one fault against a general-purpose Bayesian-network library, to 1e-6.

Source: pyagrum (noisy-OR networks, exact inference by lazy propagation) on the same graph.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from ruamel.yaml import YAML

from nextprobe import Walk, load_pack
from nextprobe.resources import packs_dir
from tests.oracle.networks import OneFault
from tests.oracle.packs import ENDS, small_pack, typed
from tests.oracle.worlds import figure_weights, rules_out

TOLERANCE = 1e-6


def with_unlisted(shares: dict[str, float], joint: float, own: list[float], unlisted: float) -> dict[str, float]:
    """The belief with the unlisted hypothesis: each reading as likely as over all causes, on its own."""
    listed, other = (1 - unlisted) * joint, unlisted * float(np.prod(own))
    total = listed + other
    return {**{cause: share * listed / total for cause, share in shares.items()}, "unlisted": other / total}


@pytest.mark.parametrize("seed", range(60))
def test_generated_packs(seed: int) -> None:
    rng = np.random.default_rng(seed)
    data = {**small_pack(rng), "pairs": 0.0, "misread": 0.02}
    options = {"fitted": str(rng.choice(["one", "two"]))}
    known = {"kind": "old", **options}
    kept: dict[str, dict[str, Any]] = {
        kind: {id_: row for id_, row in data[kind].items() if not rules_out(row.get("only_if"), known)}
        for kind in ("causes", "effects")
    }
    network = OneFault(data, "dark", kept["causes"], kept["effects"])
    walk = Walk(typed(data), "dark", options=options)
    told = {}
    for id_, row in data["measurements"].items():
        text = "1.98" if id_ == "volts" else str(rng.choice(list(row["outcomes"])))
        told[id_] = figure_weights(text, 1.0, 3, 6000, ENDS) if id_ == "volts" else {text: 1.0}
        walk.tell(id_, text)
        wanted = with_unlisted(*network.posterior(told), data["unlisted"])
        found = walk.belief()
        assert {cause: found.get(cause, 0.0) for cause in wanted} == pytest.approx(wanted, abs=TOLERANCE)


def bundled() -> dict[str, Any]:
    """The bundled pack as plain data: its own file and the blocks that it includes."""
    yaml = YAML(typ="safe")
    home = packs_dir() / "no-picture"
    main = yaml.load((home / "pack.yaml").read_text(encoding="utf-8"))
    data: dict[str, Any] = {}
    for part in (*(yaml.load((home / name).read_text(encoding="utf-8")) for name in main["include"]), main):
        for block, value in part.items():
            if isinstance(value, dict) and isinstance(data.get(block), dict):
                data[block] = {**data[block], **value}
            else:
                data[block] = value
    return data


def board_options(board: str) -> dict[str, str]:
    text = (packs_dir() / "boards" / f"{board}.yaml").read_text(encoding="utf-8")
    return {option: str(value) for option, value in YAML(typ="safe").load(text)["options"].items()}


def reachable(cause: str, causes: dict[str, Any], effects: dict[str, Any]) -> dict[str, Any]:
    """The effects that can be there with this cause alone; all others are surely absent."""
    found: dict[str, Any] = {}
    waiting = list(causes[cause].get("leads_to", {}))
    while waiting:
        node = waiting.pop()
        if node in effects and node not in found:
            found[node] = effects[node]
            waiting += effects[node].get("leads_to", {})
    return found


@pytest.mark.parametrize("board", ["brindle-14", "tansy-12"])
def test_the_bundled_pack(board: str) -> None:
    """One network a cause, each with what that cause can switch on; Bayes' rule over the causes."""
    rng = np.random.default_rng(len(board))
    data, options = bundled(), board_options(board)
    causes, effects = (
        {id_: row for id_, row in data[kind].items() if not rules_out(row.get("only_if"), options)}
        for kind in ("causes", "effects")
    )
    walk = Walk(replace(load_pack("no-picture", board=board), pairs=0.0))
    readings = [id_ for id_, row in data["measurements"].items() if row.get("reads")]
    told = {}
    for id_ in rng.choice(readings, size=24, replace=False).tolist():
        outcomes = data["measurements"][id_]["outcomes"]
        outcome = str(rng.choice([key for key, one in outcomes.items() if "stop" not in (one or {})]))
        told[id_] = {outcome: 1.0}
        walk.tell(id_, outcome)
    asked = {**data, "measurements": {id_: data["measurements"][id_] for id_ in told}}
    weights, joints, owns = {}, {}, {}
    for cause, row in causes.items():
        network = OneFault(asked, "no_picture", {cause: row}, reachable(cause, causes, effects))
        if network.can_show():
            weights[cause] = float(row.get("weight", 1.0))
            _, joints[cause], owns[cause] = network.posterior(told)
    mass = sum(weights.values())
    joint = sum(weights[cause] / mass * joints[cause] for cause in weights)
    shares = {cause: weights[cause] / mass * joints[cause] / joint for cause in weights}
    own = [sum(weights[cause] / mass * owns[cause][number] for cause in weights) for number in range(len(told))]
    wanted = with_unlisted(shares, joint, own, data["unlisted"])
    assert len(weights) > 40
    found = walk.belief()
    assert {cause: found.get(cause, 0.0) for cause in wanted} == pytest.approx(wanted, abs=TOLERANCE)
    log_own = float(np.log2(own).sum())
    assert walk.conflict() == pytest.approx(log_own - float(np.log2(joint)), abs=1e-6)
