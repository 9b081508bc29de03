"""Limits that a pack says stand in a standard are those of the standard.

Each line names the standard, and the nominal value and tolerances that it gives; how we know them stands beside: by
documents that quote the standard (second-hand) or from memory. Nobody here has the standards themselves at hand.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest

from nextprobe.pack.load import load_pack
from nextprobe.pack.numbers import Number, numbers
from nextprobe.quantity import parse_band
from nextprobe.resources import bundled_packs


class Limits(NamedTuple):
    standard: str
    low: float
    high: float
    known: str


def about(nominal: float, down: float, up: float) -> tuple[float, float]:
    """A nominal value with its tolerances in percent."""
    return nominal * (1 - down / 100), nominal * (1 + up / 100)


MEMORY, PUMP = "measurements.memory_main.outcomes.normal.range", "measurements.memory_pump.outcomes.normal.range"
STANDARDS = {
    # DDR3: VDD = VDDQ 1.5 V, 5 % either way.
    f"{MEMORY}.ddr3": Limits("JESD79-3", *about(1.5, 5, 5), "from memory"),
    # DDR3L: 1.283 V to 1.45 V, the long-time average, which a multimeter shows, at most 1.425 V.
    f"{MEMORY}.ddr3l": Limits("JESD79-3-1", 1.283, 1.425, "second-hand"),
    # DDR4: VDD 1.2 V, 0.06 V either way; VPP 2.5 V, 5 % down and 10 % up.
    f"{MEMORY}.ddr4": Limits("JESD79-4", 1.14, 1.26, "second-hand"),
    f"{PUMP}.ddr4": Limits("JESD79-4", *about(2.5, 5, 10), "second-hand"),
    # DDR5: VDD 1.1 V and VPP 1.8 V, 3 % down and 6 % up.
    f"{MEMORY}.ddr5_down": Limits("JESD79-5", *about(1.1, 3, 6), "second-hand"),
    f"{PUMP}.ddr5_down": Limits("JESD79-5", *about(1.8, 3, 6), "second-hand"),
    # LPDDR3: VDD2 1.14 V to 1.30 V, VDD1 1.70 V to 1.95 V.
    f"{MEMORY}.lpddr3": Limits("JESD209-3", 1.14, 1.30, "from memory"),
    f"{PUMP}.lpddr3": Limits("JESD209-3", 1.70, 1.95, "from memory"),
    # LPDDR4: VDD2 1.06 V to 1.17 V, VDD1 1.70 V to 1.95 V.
    f"{MEMORY}.lpddr4": Limits("JESD209-4", 1.06, 1.17, "second-hand"),
    f"{PUMP}.lpddr4": Limits("JESD209-4", 1.70, 1.95, "second-hand"),
    # LPDDR5: VDD2H 1.01 V to 1.12 V, VDD1 1.70 V to 1.95 V.
    f"{MEMORY}.lpddr5": Limits("JESD209-5", 1.01, 1.12, "second-hand"),
    f"{PUMP}.lpddr5": Limits("JESD209-5", 1.70, 1.95, "second-hand"),
    # DDR5 small-outline modules are fed with 5 V, 4.25 V to 5.5 V.
    "measurements.module_feed_5v.outcomes.normal.range": Limits("JESD301", 4.25, 5.5, "second-hand"),
    # USB fixed supplies: 20 V, 5 % either way at the source.
    "measurements.contract_at_test_sink.outcomes.normal.range": Limits(
        "IEC 62680-1-2", *about(20, 5, 5), "second-hand"
    ),
    "measurements.cable_swap.outcomes.normal.range": Limits("IEC 62680-1-2", *about(20, 5, 5), "second-hand"),
    # At the machine 0.75 V less at full current, lost in the cable; that loss is from memory.
    "measurements.contract_at_machine.outcomes.normal.range": Limits("IEC 62680-1-2", 19 - 0.75, 21, "from memory"),
    # A lithium-ion cell at rest: 3.0 V to its charge limit; 4.20 V, cell makers go up to 4.45 V.
    "measurements.pack_voltage.outcomes.normal.range": Limits("IEC 62133-2", 3.0, 4.45, "second-hand"),
}
#: Wider than the standard on purpose, because what is fitted differs: the band holds every nominal value with 3 %
#: (fifth generation 1.5 V and 1.35 V, sixth 1.35 V and 1.25 V; JESD212, JESD250, from memory).
WIDER = {"measurements.graphics_memory_supply.outcomes.normal.range": Limits("JESD212", 1.25, 1.5, "from memory")}


def by_standard(id_: str) -> list[Number]:
    return [one for one in numbers(load_pack(id_)) if one.status == "standard"]


FOUND = [one for id_ in bundled_packs() for one in by_standard(id_)]


def test_every_limit_of_a_standard_is_checked_here() -> None:
    assert {one.shown for one in FOUND} == set(STANDARDS) | set(WIDER)


@pytest.mark.parametrize("one", FOUND, ids=lambda one: str(one.shown))
def test_a_limit_is_that_of_its_standard(one: Number) -> None:
    assert one.source is not None
    limits = STANDARDS.get(one.shown) or WIDER[one.shown]
    assert limits.known in one.source.note
    band = parse_band(str(one.value), "voltage", {})
    if one.shown in WIDER:
        assert limits.standard in one.source.ref
        assert band.low <= limits.low * 0.97
        assert limits.high * 1.03 <= band.high
        return
    # A standard that is known from memory only stands in the note instead, with that said of it.
    assert limits.standard in one.source.ref or f"({limits.standard}" in one.source.note
    assert (band.low, band.high) == pytest.approx((limits.low, limits.high), abs=5e-4)
