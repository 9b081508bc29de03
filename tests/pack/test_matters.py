"""What is worth asking before a walk. No outside source: the house's own promise, held against the planner's model."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from nextprobe import Pack, Walk, load_pack
from nextprobe.pack.matters import mattering
from nextprobe.resources import bundled_boards, bundled_packs

LAMP = Path(__file__).parents[1] / "tui" / "lamp" / "pack.yaml"


@pytest.fixture
def two_symptoms(tmp_path: Path) -> Pack:
    """The lamp with a second symptom, which only a loose knob leads to, on lamps that have one."""
    text = LAMP.read_text("utf-8")
    text = text.replace("symptoms:\n", "symptoms:\n  knob_falls: {title: The knob falls off, seen: {minutes: 0.5}}\n")
    text = text.replace(
        "options:\n",
        "options:\n  knob: {ask: How is the knob held?, values: [clip, screw]}\n"
        "  glass: {ask: Which glass?, values: [clear, frosted]}\n",
    )
    text = text.replace(
        "causes:\n",
        "causes:\n  knob_loose: {title: Knob loose, weight: 1, leads_to: {knob_falls: 1}, only_if: {knob: [screw]}}\n",
    )
    text = text.replace(
        "repairs:\n", "repairs:\n  tighten: {title: Tighten the knob, minutes: 1, fixes: {knob_loose: 1}}\n"
    )
    file = tmp_path / "pack.yaml"
    file.write_text(text, "utf-8")
    return load_pack(file)


def test_an_option_is_asked_where_it_decides_for_this_symptom(two_symptoms: Pack) -> None:
    assert mattering(two_symptoms, "knob_falls", {}).options == ("knob",)
    assert mattering(two_symptoms, "dark", {}).options == ("driver_type",)  # a band needs it


def test_an_option_that_is_known_is_not_asked(two_symptoms: Pack) -> None:
    assert mattering(two_symptoms, "knob_falls", {"knob": "screw"}).options == ()


def test_a_fact_and_a_tool_are_asked_where_they_say_something(two_symptoms: Pack) -> None:
    dark, knob = (mattering(two_symptoms, symptom, {}) for symptom in ("dark", "knob_falls"))
    assert (dark.facts, knob.facts) == (("knocked_over",), ())
    assert (set(dark.tools), set(knob.tools)) == ({"multimeter"}, set())


@pytest.mark.parametrize("board", bundled_boards())
def test_what_is_not_asked_changes_nothing_that_is_planned(board: str) -> None:
    """The planner's arrays are the same for every value of an option that is left out."""
    for ref in bundled_packs():
        if ref == "dynamo-light":  # no bundled sheet is for it
            continue
        pack = load_pack(ref, board)
        for symptom in pack.symptoms:
            asked = mattering(pack, symptom, pack.known_options).options
            for option in pack.options.values():
                if option.id in asked or option.id in pack.known_options:
                    continue
                models = [Walk(pack, symptom, {option.id: value}).planning_model().model for value in option.values]
                for other in models[1:]:
                    assert np.array_equal(models[0].prior, other.prior)
                    assert np.array_equal(models[0].minutes, other.minutes)
                    pairs = zip(models[0].likelihoods, other.likelihoods, strict=True)
                    assert all(np.array_equal(one, two) for one, two in pairs)
