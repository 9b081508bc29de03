"""A pack drawn at random, small enough to be solved to the end: causes, looks that tell groups of them, repairs."""

from __future__ import annotations

from typing import Any

import numpy as np

from nextprobe.pack.build import build_pack
from nextprobe.pack.pack import Pack

#: Causes, looks and repairs of a drawn pack.
CAUSES, LOOKS = 7, 4


def drawn_data(rng: np.random.Generator) -> dict[str, Any]:
    """Plain data of a pack as its file would give it."""
    causes = {f"cause_{n}": _cause(n, rng) for n in range(CAUSES)}
    measurements = {}
    for look in range(LOOKS):
        seen = [f"cause_{n}" for n in range(CAUSES) if (n >> look % 3) & 1] if look < 3 else ["cause_0", "cause_5"]
        sure = float(rng.uniform(0.85, 0.97))
        measurements[f"look_{look}"] = {
            "title": f"Look {look}", "minutes": round(float(rng.uniform(1, 6)), 1),
            "outcomes": {"odd": {"say": "Odd"}, "normal": {"say": "As it should be"}},
            "reads": [
                {"when": {"any": seen}, "gives": {"odd": sure, "normal": 1 - sure}},
                {"otherwise": {"odd": 0.04, "normal": 0.96}},
            ],
        }  # fmt: skip
    repairs = {
        f"repair_{n}": {
            "title": f"Repair {n}", "minutes": round(float(rng.uniform(10, 45)), 1),
            "fixes": {f"cause_{n}": round(float(rng.uniform(0.8, 0.97)), 2)},
        }
        for n in range(CAUSES)
    }  # fmt: skip
    return {
        "format": 1, "id": "drawn", "title": "Drawn", "version": "1.0.0",
        "source": {"kind": "estimate", "doubt": 3, "note": "drawn"}, "unlisted": 0.02, "misread": 0.01,
        "symptoms": {"dark": {"title": "Dark", "seen": {"minutes": 1, "how": "Look."}}},
        "causes": causes, "measurements": measurements, "repairs": repairs,
        "refer": {"title": "Quote", "minutes": 240},
    }  # fmt: skip


def drawn_pack(seed: int) -> Pack:
    """The pack of a seed."""
    return build_pack(drawn_data(np.random.default_rng([7, seed])), files={}, content_hash=f"drawn-{seed}")


def _cause(number: int, rng: np.random.Generator) -> dict[str, Any]:
    return {"title": f"Cause {number}", "weight": round(float(rng.uniform(0.5, 3)), 2), "leads_to": {"dark": 1}}
