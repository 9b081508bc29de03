"""An ask dressed for a person: moves, cautions, bands, words. Nothing is decided here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from nextprobe.model.bench import BenchGraph, serves
from nextprobe.pack.applies import applies, at_hand
from nextprobe.pack.pack import Hazard, Measurement, Needs, Pack, Remark, Repair, Symptom
from nextprobe.quantity.units import base_unit
from nextprobe.walk import reading as r
from nextprobe.walk.ask import Ask, MoveStep
from nextprobe.walk.open_steps import OpenSteps


def hazards_of(pack: Pack, ids: Iterable[str]) -> tuple[Hazard, ...]:
    """The hazards, gravest signal word first (ANSI Z535), each once."""
    rank = {"DANGER": 0, "WARNING": 1, "CAUTION": 2, "NOTICE": 3}
    found = [pack.hazards[id_] for id_ in dict.fromkeys(ids) if id_ in pack.hazards]
    return tuple(sorted(found, key=lambda hazard: rank.get(hazard.signal, 4)))


def moves_to(pack: Pack, graph: BenchGraph, bench: Mapping[str, str], needs: Needs) -> tuple[MoveStep, ...] | None:
    """The moves from `bench` to the nearest state that serves `needs`; None where there is no way."""
    here = graph.index(bench)
    there = graph.nearest(here, needs)
    if there is None:
        return None
    return tuple(
        MoveStep(move.id, move.do, move.minutes, hazards_of(pack, move.hazards), graph.states[after])
        for move, after in graph.way(here, there)
    )


def remarks_visible(steps: OpenSteps, bench: Mapping[str, str]) -> tuple[Remark, ...]:
    """Remarks that can be looked for in this bench state and were not offered before."""
    return tuple(
        remark
        for remark in steps.pack.remarks.values()
        if remark.id not in steps.state.offered
        and serves(bench, remark.look_when)
        and applies(remark.only_if, steps.options) is not False
    )


def tools_of(pack: Pack, alternatives: tuple[tuple[str, ...], ...], lacks: frozenset[str]) -> str:
    """The instruments of the first alternative at hand, in words."""
    for one in alternatives:
        if at_hand((one,), lacks):
            return ", ".join(pack.instruments[id_].title for id_ in one if id_ in pack.instruments)
    return ""


def option_ask(pack: Pack, option: str) -> Ask:
    """The ask for an option."""
    known = pack.options[option]
    return Ask("option", option, known.ask, choices=r.option_choices(known), how="Skip it where nobody can tell.")


def fact_ask(pack: Pack, fact: str, minutes: float) -> Ask:
    """The ask for a history fact."""
    return Ask("history", fact, pack.history[fact].ask, how="Ask the owner.", minutes=minutes, choices=r.FACT_CHOICES)


def measurement_ask(steps: OpenSteps, graph: BenchGraph, measurement: Measurement, *, follows: bool) -> Ask:
    """The ask for a measurement or a check; `follows`: read in the act of the one just told."""
    pack, state = steps.pack, steps.state
    moves = () if follows else moves_to(pack, graph, state.bench, measurement.needs) or ()
    bands = r.bands_of(measurement, steps.options, state.told, pack)
    unit = base_unit(measurement.quantity) if measurement.quantity else ""
    healthy = measurement.healthy
    normal = ""
    if healthy:
        said = measurement.outcomes[healthy].say
        normal = r.band_words(bands[healthy], unit) if bands and healthy in bands else said
    good = pack.board.good_board.get(measurement.id, "") if pack.board else ""
    return Ask(
        kind="check" if measurement.is_check else "measure",
        id=measurement.id,
        title=measurement.title,
        how=measurement.how,
        where=measurement.where,
        at=measurement.at,
        tools=tools_of(pack, measurement.instrument, steps.situation.lacks),
        moves=moves,
        hazards=hazards_of(pack, measurement.hazards),
        minutes=sum(move.minutes for move in moves) + (0.0 if follows else measurement.minutes),
        wait=0.0 if follows else measurement.wait,
        choices=r.choices_of(measurement, bands),
        quantity=measurement.quantity,
        unit=unit,
        normal=normal,
        good_board=good,
    )


def seen_title(symptom: Symptom) -> str:
    """What the look for the symptom is called."""
    return f"Is it gone: {symptom.title}?"


def seen_ask(steps: OpenSteps, graph: BenchGraph) -> Ask:
    """The look whether the symptom is gone."""
    pack = steps.pack
    symptom = pack.symptoms[steps.situation.symptom]
    moves = moves_to(pack, graph, steps.state.bench, symptom.seen.needs) or ()
    return Ask(
        kind="check",
        id="seen",
        title=seen_title(symptom),
        how=symptom.seen.how,
        moves=moves,
        hazards=hazards_of(pack, symptom.seen.hazards),
        minutes=sum(move.minutes for move in moves) + symptom.seen.minutes,
        wait=symptom.seen.wait,
        choices=r.SEEN_CHOICES,
    )


def repair_ask(steps: OpenSteps, graph: BenchGraph, repair: Repair) -> Ask:
    """The ask for a repair, with its steps."""
    pack = steps.pack
    moves = moves_to(pack, graph, steps.state.bench, repair.needs) or ()
    return Ask(
        kind="repair",
        id=repair.id,
        title=repair.title,
        how=repair.how,
        where=repair.where,
        tools=tools_of(pack, repair.instrument, steps.situation.lacks),
        moves=moves,
        hazards=hazards_of(pack, repair.hazards),
        minutes=sum(move.minutes for move in moves) + repair.minutes,
        wait=repair.wait,
        money=repair.parts,
        choices=r.REPAIR_CHOICES,
        steps=repair.steps,
        ticked=frozenset(number for id_, number in steps.state.ticked if id_ == repair.id),
    )


def refer_ask(steps: OpenSteps, graph: BenchGraph) -> Ask:
    """The ask to quote."""
    pack = steps.pack
    refer = pack.refer
    if refer is None:
        return Ask("refer", "refer", "Quote", choices=r.REFER_CHOICES)
    moves = moves_to(pack, graph, steps.state.bench, refer.needs) or ()
    return Ask(
        kind="refer",
        id="refer",
        title=refer.title,
        how=refer.how,
        moves=moves,
        minutes=sum(move.minutes for move in moves) + refer.minutes,
        choices=r.REFER_CHOICES,
    )
