"""The worked example of the pack for a dead machine: an always-on enable is held low, and is found in fourteen steps.

Source of every figure: own inventory, estimates (common practice, no source). The table was computed with one fault
at a time and with even odds of every outcome for what the pack does not know; three decimals.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from nextprobe import Walk, load_pack
from nextprobe.walk.evidence import Believer
from nextprobe.walk.state import Evidence
from tests.pack.test_no_reaction import MACHINE

CAUSES = (
    "charger_stage_faulty",
    "input_transistor_open",
    "input_fuse_open",
    "socket_broken",
    "main_rail_ceramic",
    "always_on_chip_dead",
    "always_on_output_short",
    "always_on_enable_missing",
    "latched_protection",
)

#: What was told -> the belief in CAUSES after it, and in all others together (the unlisted one among them).
TABLE = [
    ("", "", (0.029, 0.022, 0.020, 0.047, 0.043, 0.031, 0.024, 0.016, 0.043), 0.725),
    ("outside_look", "clean", (0.030, 0.025, 0.023, 0.037, 0.044, 0.035, 0.028, 0.018, 0.048), 0.712),
    ("life_signs", "no_signs", (0.030, 0.026, 0.023, 0.038, 0.045, 0.035, 0.028, 0.019, 0.049), 0.707),
    ("adapter_light", "stays_lit", (0.036, 0.031, 0.028, 0.045, 0.017, 0.042, 0.034, 0.022, 0.059), 0.686),
    ("machine_light", "dark", (0.068, 0.059, 0.053, 0.086, 0.032, 0.067, 0.046, 0.041, 0.041), 0.507),
    ("known_good_adapter", "no_change", (0.080, 0.069, 0.063, 0.097, 0.037, 0.079, 0.054, 0.048, 0.046), 0.427),
    ("short_drain", "still", (0.084, 0.072, 0.065, 0.101, 0.039, 0.083, 0.056, 0.050, 0.019), 0.431),
    ("main_rail_ohm", "normal", (0.090, 0.077, 0.070, 0.109, 0.001, 0.089, 0.060, 0.054, 0.020), 0.430),
    ("input_side_ohm", "normal", (0.091, 0.078, 0.071, 0.109, 0.001, 0.089, 0.061, 0.054, 0.020), 0.426),
    ("always_on_ohm", "normal", (0.098, 0.084, 0.076, 0.118, 0.001, 0.096, 0.002, 0.059, 0.022), 0.444),
    ("standby_current", "trickle", (0.182, 0.156, 0.013, 0.012, 0.001, 0.214, 0.001, 0.132, 0.002), 0.287),
    ("main_rail_voltage", "normal", (0.006, 0.005, 0.000, 0.000, 0.000, 0.338, 0.002, 0.208, 0.003), 0.438),
    ("always_on_3v3", "absent", (0.013, 0.011, 0.001, 0.001, 0.000, 0.589, 0.002, 0.369, 0.000), 0.014),
    ("always_on_enable", "enable_low", (0.002, 0.001, 0.000, 0.000, 0.000, 0.146, 0.001, 0.849, 0.000), 0.001),
]


@pytest.mark.parametrize("pairs", [None, 0.0], ids=["pairs as shipped", "one fault"])
def test_each_named_cause_within_a_hundredth(pairs: float | None) -> None:
    """With the pack's own `pairs` (0.03) and its own unlisted cause the nine causes keep within 0.01."""
    pack = load_pack("no-reaction")
    walk = Walk(pack if pairs is None else replace(pack, pairs=pairs), options=MACHINE)
    for id_, told, shares, _ in TABLE:
        if id_:
            walk.tell(id_, told)
        belief = walk.belief()
        assert [belief[cause] for cause in CAUSES] == pytest.approx(list(shares), abs=0.01), told


def test_the_table_itself_as_it_was_computed() -> None:
    """One fault, and the unlisted cause with even odds on every outcome: every figure within 0.002."""
    pack = replace(load_pack("no-reaction"), pairs=0.0)
    believer = Believer(pack, "no_reaction")
    hypotheses = believer.hypotheses(MACHINE)
    evidence: tuple[Evidence, ...] = ()
    even = pack.unlisted
    for id_, told, shares, other in TABLE:
        if id_ in pack.repairs:
            evidence += (Evidence(id_, "repair", told),)
            even *= 0.5
        elif id_:
            evidence += (Evidence(id_, "measure", told, ((told, 1.0),)),)
            even /= len(pack.measurements[id_].outcomes)
        belief = believer.belief(hypotheses, evidence)
        chance = (1 - pack.unlisted) * 2**belief.log2_listed
        unlisted = even / (even + chance)
        present = hypotheses.present(belief.weights) / belief.weights.sum() * (1 - unlisted)
        by_cause = dict(zip(hypotheses.causes, present.tolist(), strict=True))
        found = [by_cause[cause] for cause in CAUSES]
        assert found == pytest.approx(list(shares), abs=0.002), told
        assert 1 - sum(found) == pytest.approx(other, abs=0.006), told


def test_it_unfolds_as_it_was_counted() -> None:
    """Own inventory: 114 combinations of one cause with its effects in all, 109 on this machine."""
    believer = Believer(replace(load_pack("no-reaction"), pairs=0.0), "no_reaction")
    assert len(believer.hypotheses({}).first) == 114
    assert len(believer.hypotheses(MACHINE).first) == 109
