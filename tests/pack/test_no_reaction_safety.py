"""What must come before power in the pack for a dead machine, and the ways between the two laptop packs.

Source: own inventory (stop rules and the order of readings; common practice, no source). Signal words: ANSI Z535.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from nextprobe import Pack, Walk, load_pack
from nextprobe.walk.play import play

GATE = "main_rail_ohm"


@pytest.fixture(scope="module")
def pack() -> Pack:
    return load_pack("no-reaction")


def first_told(pack: Pack, after: Iterable[tuple[str, tuple[str, ...]]]) -> set[str]:
    """All that must have been told for these `after`, through the chain."""
    found: set[str] = set()
    waiting = [id_ for id_, _ in after]
    while waiting:
        id_ = waiting.pop()
        if id_ not in found:
            found.add(id_)
            step = pack.measurements.get(id_) or pack.repairs.get(id_)
            waiting += [more for more, _ in step.after] if step else []
    return found


def test_no_reading_powers_the_opened_machine_before_its_main_rail_was_read(pack: Pack) -> None:
    powered = [
        m
        for m in pack.measurements.values()
        if not m.is_check
        and m.needs.get("cover") == ("removed",)
        and (m.needs["supply"] != ("removed",) or m.needs.get("battery") == ("spare",))
    ]
    assert len(powered) >= 25
    assert [m.id for m in powered if GATE not in first_told(pack, m.after)] == []


def test_no_repair_powers_the_opened_machine_before_its_main_rail_was_read(pack: Pack) -> None:
    opened = [r for r in pack.repairs.values() if r.needs.get("cover") == ("removed",) or r.id == "replace_pack"]
    open_ends = [
        r.id
        for r in opened
        if r.prove[0] != "before_power" and GATE not in first_told(pack, r.after)
    ]  # fmt: skip
    assert len(opened) >= 30
    assert open_ends == []


def test_power_follows_the_press_only_with_the_cooler_on(pack: Pack) -> None:
    pressed = [m for m in pack.measurements.values() if "no_cooler" in m.hazards]
    assert pressed
    assert all(m.needs["cooler"] == ("fitted",) for m in pressed)


def test_what_bars_power(pack: Pack) -> None:
    outcomes = {
        ("outside_look", "burnt"): {"supply": ("standby", "powered"), "battery": ("spare",)},
        ("main_rail_ohm", "short"): {"supply": ("standby", "powered"), "battery": ("connected", "spare")},
        ("input_side_ohm", "short"): {"supply": ("standby", "powered")},
        ("standby_current", "limiting"): {"supply": ("standby", "powered"), "battery": ("connected", "spare")},
        ("pack_voltage", "deep"): {"battery": ("connected",)},
    }
    for (id_, outcome), bars in outcomes.items():
        assert dict(pack.measurements[id_].outcomes[outcome].bars) == bars


def test_what_ends_the_work(pack: Pack) -> None:
    for outcome in ("swollen", "liquid_wet"):
        walk = Walk(pack)
        walk.tell("outside_look", outcome)
        assert walk.ending is not None
        assert walk.ending.what == "stopped"
    assert {stop.signal for stop in pack.stops.values()} <= {"DANGER", "WARNING", "CAUTION", "NOTICE"}


def test_a_damaged_adapter_is_not_tried_once_more(pack: Pack) -> None:
    own = ["adapter_on_bench", "adapter_light", "adapter_voltage", "adapter_loaded", "contract_at_machine"]
    for id_ in [*own, "contract_at_test_sink", "cable_swap"]:
        allowed = dict(pack.measurements[id_].after)["outside_look"]
        assert "adapter_damaged" not in allowed
        assert set(allowed) >= {"clean", "impact", "burnt", "earlier"}


def test_each_pack_names_the_other(pack: Pack) -> None:
    for id_, outcome in (("life_signs", "lights_up"), ("known_good_adapter", "starts_dark"),
                         ("adapter_only", "starts_dark"), ("known_good_pack", "starts_dark")):  # fmt: skip
        assert pack.measurements[id_].outcomes[outcome].see_also == "no-picture"
    picture = load_pack("no-picture")
    assert picture.measurements["lights_60s"].outcomes["silent"].see_also == "no-reaction"
    walk = Walk(pack)
    walk.tell("life_signs", "lights_up")
    assert walk.see_also == "no-picture"


@pytest.mark.parametrize("board", ["tansy-12", "brindle-14"])
def test_a_board_sheet_tells_every_option_and_most_places(board: str) -> None:
    """Both packs on one sheet: nobody is asked what the sheet knows, and a meter reading has its place."""
    for id_ in ("no-reaction", "no-picture"):
        pack = load_pack(id_, board=board)
        asked = set(pack.options) - set(pack.known_options)
        assert asked <= {"slot_wiring"}  # of a board without slots
    pack = load_pack("no-reaction", board=board)
    assert pack.board is not None
    told = {id_ for id_ in pack.board.good_board if id_ in pack.measurements}
    assert {"main_rail_ohm", "input_side_ohm", "always_on_ohm", "always_on_3v3", "always_on_5v"} <= told


def test_a_shorted_rail_after_a_burnt_smell_is_never_powered() -> None:
    """Led by the planner from a burnt smell to a replaced ceramic: no power on the way, and none into the short."""
    walk = Walk(load_pack("no-reaction", board="tansy-12"))
    answers = {
        "outside_look": "burnt", "main_rail_ohm": "0.3 ohm", "upper_switches": "normal", "inject_look": "small_part",
        "magnified_look": "clean", "core_ohm": "1.6 ohm", "input_side_ohm": "150 kohm", "always_on_ohm": "800 ohm",
        "output_rail_ohm": "510 ohm", "standby_low_ohm": "9 ohm", "cause": "main_rail_ceramic",
    }  # fmt: skip
    play(walk, answers)
    assert walk.ending is not None
    assert walk.ending.what == "repaired"
    order = [step.ask for step in walk.path]
    proved = order.index("before_power")
    assert all(step.bench["supply"] == "removed" for step in walk.path[: proved + 1])
