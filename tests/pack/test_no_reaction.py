"""The pack for a machine that does not react: its size, a few likelihoods by hand, the values of standards, its cases.

Sources stand beside each check. Trade figures are estimates of the own inventory: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from nextprobe import Pack, Walk, load_pack
from nextprobe.study.cases import run_cases

#: The machine of the trade's own cases: barrel plug, soldered socket, button on a board of its own, two flash users.
MACHINE = {
    "power_input": "barrel",
    "battery_fitting": "internal",
    "clock_cell": "fitted",
    "graphics": "integrated",
    "second_socket": "absent",
    "charging_socket": "soldered",
    "light_on_adapter": "fitted",
    "charge_light": "fitted",
    "power_button": "own_board",
    "controller_flash": "shared",
    "controller_crystal": "fitted",
    "other_ways": "absent",
}

EPS = 0.01  # the pack's misread chance


@pytest.fixture(scope="module")
def pack() -> Pack:
    return load_pack("no-reaction")


def one_fault(pack: Pack) -> Walk:
    return Walk(replace(pack, pairs=0.0), options=MACHINE)


def seen_as(chance: float, outcomes: int) -> float:
    """The chance of an outcome once it may be misread, by the pack format: the rest goes to the others evenly."""
    return (1 - EPS) * chance + EPS * (1 - chance) / (outcomes - 1)


def test_it_is_as_large_as_the_inventory(pack: Pack) -> None:
    """Own inventory: 46 causes, 33 effects (the complaint itself is the symptom here), 67 measurements, 20 checks,
    43 repairs, 18 facts, 16 remarks; 13 options, of which the fitting of the drive decides nothing and is left out."""
    readings = [m for m in pack.measurements.values() if not m.is_check]
    assert len(pack.causes) == 46
    assert len(pack.effects) == 33 - 1
    assert len(readings) == 67
    assert len(pack.measurements) - len(readings) == 20
    assert len(pack.repairs) == 43
    assert len(pack.history) == 18
    assert len(pack.remarks) == 16
    assert len(pack.options) == 13 - 1
    assert list(pack.symptoms) == ["no_reaction"]


def test_the_reference_mix_weighs_a_hundred(pack: Pack) -> None:
    """Own inventory: weight x share of machines to which the cause applies sums to 100 over the reference mix."""
    share = {
        ("power_input", ("barrel",)): 0.6,
        ("power_input", ("usb_c",)): 0.4,
        ("controller_crystal", ("fitted",)): 0.45,
        ("controller_flash", ("shared", "own")): 0.7,
        ("power_button", ("own_board", "on_keyboard")): 0.85,
        ("graphics", ("separate",)): 0.35,
    }
    total = 0.0
    for cause in pack.causes.values():
        part = 1.0
        for rule in cause.only_if:
            for option, values in rule.items():
                part *= share[option, tuple(values)]
        total += cause.weight * part
    assert total == pytest.approx(100.0, abs=0.05)


def test_a_dark_adapter_light_by_hand(pack: Pack) -> None:
    """Bayes' rule for two causes; weights 5.6 and 2.6, dark with 0.82 and 0.95 of three outcomes."""
    walk = one_fault(pack)
    walk.tell("adapter_light", "dark")
    belief = walk.belief()
    odds = 5.6 * seen_as(0.82, 3) / (2.6 * seen_as(0.95, 3))
    assert belief["adapter_dead"] / belief["no_mains"] == pytest.approx(odds, rel=1e-9)


def test_what_the_owner_tells_by_hand(pack: Pack) -> None:
    """History: P(reported | cause) = base x factor; a plug held at an angle, 0.12, 3.5 with a broken socket."""
    walk = one_fault(pack)
    walk.tell("plug_held_at_angle", "reported")
    belief = walk.belief()
    assert belief["socket_broken"] / belief["adapter_dead"] == pytest.approx(4.6 * 3.5 / 5.6, rel=1e-9)
    walk = one_fault(pack)
    walk.tell("plug_held_at_angle", "denied")
    belief = walk.belief()
    odds = 4.6 * (1 - 0.12 * 3.5) / (5.6 * (1 - 0.12))
    assert belief["socket_broken"] / belief["adapter_dead"] == pytest.approx(odds, rel=1e-9)


def test_an_arc_that_is_not_sure_by_hand(pack: Pack) -> None:
    """Noisy-OR: residue is visible with 0.92 of liquid (then 0.86, else 0.25), by chance with 0.05; four outcomes."""
    walk = one_fault(pack)
    walk.tell("magnified_look", "residue")
    belief = walk.belief()
    liquid = 0.92 * seen_as(0.86, 4) + 0.08 * seen_as(0.25, 4)
    odds = 5.2 * liquid / (5.6 * seen_as(0.05, 4))
    assert belief["liquid"] / belief["adapter_dead"] == pytest.approx(odds, rel=1e-9)


def test_a_repair_that_failed_by_hand(pack: Pack) -> None:
    """A drain that cures a latch with 0.62 and did not leaves 0.38 of its weight."""
    walk = one_fault(pack)
    walk.tell("short_drain", "still")
    belief = walk.belief()
    assert belief["latched_protection"] / belief["adapter_dead"] == pytest.approx(4.2 * 0.38 / 5.6, rel=1e-9)


def test_two_rules_of_one_effect_by_hand(pack: Pack) -> None:
    """A switch that shorts the rail may leave some ohms (0.48), a ceramic seldom does (0.19); three outcomes."""
    walk = one_fault(pack)
    walk.tell("main_rail_ohm", "low")
    belief = walk.belief()
    odds = 2.0 * seen_as(0.48, 3) / (4.2 * seen_as(0.19, 3))
    assert belief["main_rail_switch"] / belief["main_rail_ceramic"] == pytest.approx(odds, rel=1e-9)


def test_usb_contract_limits(pack: Pack) -> None:
    """IEC 62680-1-2 (USB PD): a fixed supply keeps within 5 % at the source; the loss of 0.75 V in the cable is from
    memory."""
    nominal = 20.0
    low, high = 0.95 * nominal, 1.05 * nominal
    for id_ in ("contract_at_test_sink", "cable_swap"):
        outcome = pack.measurements[id_].outcomes["normal"]
        assert dict(outcome.ranges) == {"": f"{low:g} V .. {high:g} V"}
        assert outcome.origin.kind == "standard"
        assert outcome.origin.ref == "IEC 62680-1-2"
    at_machine = pack.measurements["contract_at_machine"].outcomes["normal"]
    assert dict(at_machine.ranges) == {"": f"{low - 0.75:g} V .. {high:g} V"}


def test_what_a_contract_reads_as(pack: Pack) -> None:
    """IEC 62680-1-2: a source without a contract gives 5 V, 4.75 to 5.5 V before one; 9 V and 15 V are too low here."""
    walk = Walk(pack, options={**MACHINE, "power_input": "usb_c"})
    for figure, outcome in (("5.1 V", "only_5v"), ("5.4 V", "only_5v"), ("9 V", "below"), ("15 V", "below")):
        assert walk.take("contract_at_test_sink", figure).outcome == outcome
    assert walk.take("contract_at_test_sink", "20 V").outcome == "normal"


def test_the_configuration_line_is_told_by_its_classes(pack: Pack) -> None:
    """IEC 62680-1-3 (USB Type-C): 0.25-0.61, 0.70-1.16, 1.31-2.04 V by the source's class, pull-down 5.1 kohm."""
    line = pack.measurements["config_line"]
    assert line.origin.ref == "IEC 62680-1-3"
    for words in ("0.25 to 0.61 V", "0.70 to 1.16 V", "1.31 to 2.04 V", "5.1 kohm"):
        assert words in line.how


def test_one_cell_of_the_pack(pack: Pack) -> None:
    """IEC 62133-2: charged to 4.20 V with 0.05 V beside it; cell makers go up to 4.45 V and let nobody recharge below
    2.5 V (second-hand)."""
    walk = Walk(pack, options=MACHINE)
    for figure, outcome in (("4.2 V", "normal"), ("4.25 V", "normal"), ("2.3 V", "deep"), ("2.7 V", "low")):
        assert walk.take("pack_voltage", figure).outcome == outcome


def test_always_on_supplies(pack: Pack) -> None:
    """Common practice, no source: within 5 % of 3.3 V and 5 V."""
    limits = {
        "always_on_3v3": f"{3.3 * 0.95:.3f} V .. {3.3 * 1.05:.3f} V",
        "always_on_5v": f"{5 * 0.95:.2f} V .. {5 * 1.05:.2f} V",
    }
    for id_, text in limits.items():
        assert dict(pack.measurements[id_].outcomes["normal"].ranges) == {"": text}


def test_its_own_cases() -> None:
    """19 jobs of the own inventory and 21 of our own reasoning (estimates); five are led to their end."""
    results = run_cases("no-reaction")
    assert len(results) == 40
    failed = {one.name: [wish for wish in one.wishes if not wish.holds] for one in results if not one.passed}
    assert failed == {}
    assert sum(one.ending == "repaired" for one in results) == 5
