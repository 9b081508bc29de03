"""Small random packs as plain data, each with what makes the belief hard: shared effects, pairs, options."""

from __future__ import annotations

from typing import Any

import numpy as np

from nextprobe.pack.build import build_pack
from nextprobe.pack.pack import Pack

#: More uncertain arcs than this are made certain: the oracle counts every fall of every coin.
COINS = 9

#: Ranges of the one measurement that is read as a figure.
ENDS = {"low": (float("-inf"), 1.0), "normal": (1.0, 2.0), "high": (2.0, float("inf"))}


def typed(data: dict[str, Any]) -> Pack:
    """The typed pack of plain data that is known to be sound."""
    return build_pack(data, files={}, content_hash="generated")


def small_pack(rng: np.random.Generator) -> dict[str, Any]:
    """One pack for the belief: two symptoms, two options, a fact, four measurements, three repairs."""
    effects = [f"effect_{n}" for n in range(int(rng.integers(2, 5)))]
    causes = [f"cause_{n}" for n in range(int(rng.integers(2, 6)))]
    coins = [COINS]
    data: dict[str, Any] = {
        "format": 1,
        "id": "generated",
        "unlisted": float(rng.choice([0.0, 0.02, 0.2])),
        "misread": float(rng.choice([0.0, 0.01, 0.1])),
        "pairs": float(rng.choice([0.0, 0.03, 0.3])),
        "options": {
            "fitted": {"ask": "Fitted?", "values": ["one", "two"]},
            "kind": {"ask": "Which kind?", "values": ["old", "new", "odd"], "default": "old"},
        },
        "instruments": {"meter": {"title": "Meter", "counts": 6000, "accuracy": {"voltage": "1 % + 3 counts"}}},
        "symptoms": {"dark": {"title": "Dark"}, "loud": {"title": "Loud"}},
        "effects": {},
        "causes": {},
    }
    for number, effect in enumerate(effects):
        targets = [*effects[number + 1 :], "dark", "loud"]
        data["effects"][effect] = {"leads_to": arcs(rng, targets, 2, coins), **only_if(rng)}
    for number, cause in enumerate(causes):
        leads = arcs(rng, [*effects, *effects, "dark"], 2, coins)
        if number == 0:
            leads["dark"] = 0.5 if coins[0] > 0 else 1.0
        limits = only_if(rng) if number else {}
        data["causes"][cause] = {"weight": round(float(rng.uniform(0.2, 3)), 2), "leads_to": leads, **limits}
    read = [*effects[: max(1, len(effects) - 1)], *causes[:2]]  # the last effect is read by no rule
    data["history"] = {
        "dropped": {
            "ask": "Dropped?",
            "base": float(rng.uniform(0.05, 0.6)),
            "raises": {cause: float(rng.choice([0.2, 2.0, 5.0])) for cause in pick(rng, causes, 2)},
        }
    }
    data["measurements"] = {f"look_{n}": look(rng, ["a", "b", "c"][: int(rng.integers(1, 4))], read) for n in range(3)}
    data["measurements"]["volts"] = {
        **look(rng, list(ENDS), read),
        "quantity": "voltage",
        "instrument": "meter",
        "outcomes": {
            "low": {"range": "below 1 V"},
            "normal": {"range": "1 V .. 2 V"},
            "high": {"range": "above 2 V"},
        },
    }
    data["repairs"] = {
        f"repair_{n}": {"fixes": {c: float(rng.choice([0.3, 0.6, 1.0])) for c in pick(rng, causes, 3)}}
        for n in range(3)
    }
    return data


def pick(rng: np.random.Generator, from_: list[str], most: int) -> list[str]:
    count = int(rng.integers(1, most + 1))
    return [str(one) for one in rng.choice(from_, size=min(count, len(from_)), replace=False)]


def arcs(rng: np.random.Generator, targets: list[str], most: int, coins: list[int]) -> dict[str, float]:
    found = {}
    for target in dict.fromkeys(pick(rng, list(dict.fromkeys(targets)), most)):
        certain = rng.random() < 0.3 or coins[0] <= 0
        found[target] = 1.0 if certain else round(float(rng.uniform(0.1, 0.95)), 3)
        coins[0] -= not certain
    return found


def only_if(rng: np.random.Generator) -> dict[str, Any]:
    dice = int(rng.integers(0, 8))
    if dice == 0:
        return {"only_if": {"fitted": "two"}}
    if dice == 1:
        return {"only_if": {"kind": ["old", "new"], "fitted": "one"}}
    if dice == 2:
        return {"only_if": [{"fitted": "one"}, {"kind": "odd"}]}
    return {}


def when(rng: np.random.Generator, ids: list[str], depth: int = 0) -> Any:
    dice = int(rng.integers(0, 6)) if depth < 2 else 0
    if dice <= 2:
        return str(rng.choice(ids))
    if dice == 3:
        return {"not": when(rng, ids, depth + 1)}
    parts = [when(rng, ids, depth + 1), when(rng, ids, depth + 1)]
    return parts if rng.random() < 0.4 else {"all" if dice == 4 else "any": parts}


def spread(rng: np.random.Generator, outcomes: list[str]) -> dict[str, float]:
    shares = rng.dirichlet(np.ones(len(outcomes)) * 0.5)
    if rng.random() < 0.2:
        shares = np.eye(len(outcomes))[int(rng.integers(0, len(outcomes)))]
    return {outcome: float(share) for outcome, share in zip(outcomes, shares, strict=True)}


def look(rng: np.random.Generator, outcomes: list[str], read: list[str]) -> dict[str, Any]:
    rules: list[Any] = [
        {"when": when(rng, read), "gives": spread(rng, outcomes)} for _ in range(int(rng.integers(1, 4)))
    ]
    row = {
        "outcomes": {outcome: {"say": f"It is {outcome}"} for outcome in outcomes},
        "reads": [*rules, {"otherwise": spread(rng, outcomes)}],
        "minutes": 1,
    }
    return {**row, "misread": 0.05} if rng.random() < 0.3 else row
