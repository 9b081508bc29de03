"""Small random packs with a whole bench around the causes: moves, hazards, proofs, bars, stops, skills."""

from __future__ import annotations

from typing import Any

import numpy as np

from tests.oracle.packs import pick, small_pack

BENCH: dict[str, Any] = {
    "conditions": {
        "supply": {"values": ["removed", "powered"], "start": "removed"},
        "cover": {"values": ["fitted", "removed"], "start": "fitted"},
        "board": {"values": ["in", "out"], "start": "in"},
    },
    "states": {"open_live": {"supply": "powered", "cover": "removed", "board": "in"}},
    "moves": {
        "plug": {"change": {"supply": "powered"}, "minutes": 0.5, "do": "Plug it in.", "hazards": ["shock", "fan"]},
        "unplug": {"change": {"supply": "removed"}, "minutes": 0.5, "do": "Unplug it."},
        "cover_off": {
            "change": {"cover": "removed"},
            "needs": {"supply": "removed"},
            "minutes": 4,
            "do": "Lift the cover.",
        },
        "cover_on": {
            "change": {"cover": "fitted"},
            "needs": {"supply": "removed", "board": "in"},
            "minutes": 4,
            "do": "Fit the cover.",
        },
        "board_out": {
            "change": {"board": "out"},
            "needs": {"supply": "removed", "cover": "removed"},
            "minutes": 15,
            "do": "Lift the board out.",
            "hazards": ["static"],
        },
        "board_in": {"change": {"board": "in"}, "needs": {"supply": "removed"}, "minutes": 15, "do": "Put it back."},
    },
}
HAZARDS = {
    "shock": {"signal": "DANGER", "say": "Mains."},
    "hot": {"signal": "CAUTION", "say": "Hot."},
    "static": {"signal": "NOTICE", "say": "Static."},
    "fan": {"signal": "CAUTION", "say": "A fan may start."},
}
NEEDS: list[Any] = [
    {},
    {"supply": "removed"},
    {"supply": "powered"},
    {"cover": "removed"},
    "open_live",
    {"board": "out"},
    {"supply": ["removed", "powered"], "cover": "removed"},
]


def whole_pack(rng: np.random.Generator) -> dict[str, Any]:
    """A sound pack with one of everything that a walk must mind."""
    data = small_pack(rng)
    data["title"] = "Generated"
    data["version"] = "1.0.0"
    data["misread"] = max(data["misread"], 0.01)
    data["unlisted"] = max(data["unlisted"], 0.02)
    data["symptoms"] = {
        "dark": {"title": "Dark", "seen": {"needs": {"supply": "powered"}, "minutes": 1, "hazards": ["fan"]}}
    }
    for row in (*data["causes"].values(), *data["effects"].values()):
        row["leads_to"].pop("loud", None)
    data["bench"] = BENCH
    data["hazards"] = HAZARDS
    data["economics"] = {"currency": "EUR", "labour_per_hour": 60, "loss": 100, "wait_weight": 0.1, "wait_cap": 15}
    data["instruments"]["scope"] = {"title": "Scope", "may_lack": True}
    data["skills"] = {"fine_work": {"title": "Fine work"}}
    data["stops"] = {"swollen": {"signal": "WARNING", "say": "Stop here."}}
    data["remarks"] = {"dusty": {"say": "Dusty", "look_when": {"cover": "removed"}}}
    _measurements(rng, data)
    _repairs(rng, data)
    data["always_first"] = ["look_0"]
    data["closing"] = ["load_run"]
    if rng.random() < 0.75:
        data["refer"] = {
            "title": "Quote",
            "minutes": 10,
            "parts": float(rng.choice([60, 300, 1000])),
            "needs": {"cover": "fitted"},
        }
    return data


def _measurements(rng: np.random.Generator, data: dict[str, Any]) -> None:
    rows = data["measurements"]
    for row in rows.values():
        row["minutes"] = float(rng.choice([0.5, 2, 6]))
        row["needs"] = NEEDS[int(rng.integers(0, len(NEEDS)))]
        row["hazards"] = pick(rng, list(HAZARDS), 2)
    rows["look_0"]["needs"] = {}
    rows["look_1"]["after"] = ["look_2"] if rng.random() < 0.5 else {"look_2": list(rows["look_2"]["outcomes"])[:1]}
    rows["volts"]["after"] = "ohms"
    if rng.random() < 0.5:
        rows["look_2"]["instrument"] = "scope"
    rows["ohms"] = {
        "quantity": "resistance",
        "minutes": 2,
        "needs": {"supply": "removed"},
        "hazards": ["static"],
        "outcomes": {
            "short": {
                "range": {"by": "fitted", "one": "below 1 ohm", "two": "below 3 ohm"},
                "leaves": {"supply": "removed"},
                "bars": {"supply": ["powered"]},
                "until": {"rail": "sound"} if rng.random() < 0.5 else {"look_2": list(rows["look_2"]["outcomes"])},
            },
            "sound": {"range": "above short"},
        },
        "reads": [
            {"when": "cause_0", "gives": {"short": 0.5, "sound": 0.5}},
            {"otherwise": {"sound": 0.97, "short": 0.03}},
        ],
    }
    rows["rail"] = {
        "minutes": 3,
        "needs": {"board": "out"},
        "instrument": ["scope", "meter"],
        "outcomes": {"sound": {"say": "Sound"}, "open": {"say": "Open"}},
        "reads": [
            {"when": "effect_0", "gives": {"open": 0.8, "sound": 0.2}},
            {"otherwise": {"sound": 0.9, "open": 0.1}},
        ],
        "same_as": "look_2" if rng.random() < 0.3 else [],
    }
    rows["ripple"] = {
        "with": "volts",
        "outcomes": {"calm": {"say": "Calm"}, "wild": {"say": "Wild"}},
        "reads": [{"when": "effect_0", "gives": {"wild": 0.7, "calm": 0.3}}, {"otherwise": {"calm": 0.9, "wild": 0.1}}],
    }
    first = list(rows["look_0"]["outcomes"])
    if len(first) > 1 and rng.random() < 0.3:
        rows["look_0"]["outcomes"][first[-1]]["stop"] = "swollen"
    if not rows["rail"]["same_as"]:
        del rows["rail"]["same_as"]
    if rng.random() < 0.3:
        rows["rail"]["only_if"] = {"kind": ["old", "odd"]}
    if rng.random() < 0.3:
        rows["look_2"]["only_if"] = [{"fitted": "one"}, {"kind": "odd"}]
    rows["ohms_check"] = {"minutes": 2, "needs": {"supply": "removed"}, "hazards": ["static"]}
    rows["load_run"] = {
        "minutes": 1,
        "wait": "10 min",
        "needs": {"supply": "powered", "cover": "fitted"},
        "hazards": ["hot"],
    }
    rows["scope_check"] = {"minutes": 2, "needs": "open_live", "instrument": "scope"}


def _repairs(rng: np.random.Generator, data: dict[str, Any]) -> None:
    for number, row in enumerate(data["repairs"].values()):
        row |= {
            "title": f"Repair {number}",
            "minutes": float(rng.choice([2, 10, 30])),
            "parts": float(rng.choice([0, 5, 40])),
            "risk": float(rng.choice([0, 0.1])),
            "needs": NEEDS[int(rng.integers(0, len(NEEDS)))],
            "hazards": pick(rng, list(HAZARDS), 2),
            "prove": [["seen"], ["ohms_check", "seen"], ["ohms_check", "seen", "scope_check"]][int(rng.integers(0, 3))],
        }
    if rng.random() < 0.3:
        data["repairs"]["repair_0"]["only_if"] = {"fitted": "one"}
    data["repairs"]["repair_1"]["skill"] = "fine_work"
    data["repairs"]["repair_2"]["after"] = {"ohms": "sound"} if rng.random() < 0.5 else ["rail"]
