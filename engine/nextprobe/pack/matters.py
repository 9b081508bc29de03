"""What is worth asking before a walk: options that change what this machine is asked, and tools that it may need."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from nextprobe.pack.applies import applies, deciding_options, ids_in
from nextprobe.pack.pack import Cause, Effect, Measurement, OnlyIf, Pack, Repair


@dataclass(frozen=True, slots=True)
class Mattering:
    """options: those whose value is not known and makes a difference, in the order of the pack.

    tools: instruments and skills of what may be asked. facts: ids of what the owner tells that says something.
    """

    options: tuple[str, ...]
    tools: frozenset[str]
    facts: tuple[str, ...]


def mattering(pack: Pack, symptom: str, options: Mapping[str, str]) -> Mattering:
    """What makes a difference on a machine with these `options`, from `symptom`."""
    leading = _leading(pack, symptom, options)
    repairs = [
        repair
        for repair in pack.repairs.values()
        if set(repair.fixes) & leading and applies(repair.only_if, options) is not False
    ]
    measurements = _asked(pack, leading, repairs, options)
    facts = [
        fact
        for fact in pack.history.values()
        if set(fact.raises) & leading and applies(fact.only_if, options) is not False
    ]
    conditions: list[OnlyIf] = [pack.causes[id_].only_if for id_ in leading if id_ in pack.causes]
    conditions += [pack.effects[id_].only_if for id_ in leading if id_ in pack.effects]
    conditions += [m.only_if for m in measurements] + [r.only_if for r in repairs] + [f.only_if for f in facts]
    conditions += [m.only_if for m in pack.bench.moves.values()] + [r.only_if for r in pack.remarks.values()]
    wanted = {option for one in conditions for option in deciding_options(one, options)}
    wanted |= {outcome.by for one in measurements for outcome in one.outcomes.values() if outcome.by}
    wanted |= {
        option
        for id_ in wanted
        for option in deciding_options(pack.options[id_].only_if, options)
        if id_ in pack.options
    }
    return Mattering(
        tuple(
            id_
            for id_, option in pack.options.items()
            if id_ in wanted and id_ not in options and applies(option.only_if, options) is not False
        ),
        frozenset(_tools([*measurements, *repairs])),
        tuple(fact.id for fact in facts),
    )


def _leading(pack: Pack, symptom: str, options: Mapping[str, str]) -> set[str]:
    """The causes and effects of this machine that can bring the symptom about."""
    all_: list[Cause | Effect] = [*pack.causes.values(), *pack.effects.values()]
    found = {symptom}
    grown = True
    while grown:
        more = {
            one.id
            for one in all_
            if one.id not in found and found & set(one.leads_to) and applies(one.only_if, options) is not False
        }
        grown = bool(more)
        found |= more
    return found


def _asked(pack: Pack, leading: set[str], repairs: Iterable[Repair], options: Mapping[str, str]) -> list[Measurement]:
    """The measurements that say something of these causes, and those that must be told whatever the causes are."""
    told = {*pack.always_first, *pack.closing}
    for repair in repairs:
        told |= {*repair.prove, *(id_ for id_, _ in repair.after)}
    for move in pack.bench.moves.values():
        told |= {id_ for id_, _ in move.after}
    beside = _switched_on(pack, leading, options)
    todo = [m for m in pack.measurements.values() if m.id in told or any(_names(m, beside))]
    found: dict[str, Measurement] = {}
    while todo:
        one = todo.pop()
        if one.id in found or applies(one.only_if, options) is False:
            continue
        found[one.id] = one
        before = [id_ for id_, _ in one.after] + [one.with_]
        for outcome in one.outcomes.values():
            before += [outcome.of, *(id_ for id_, _ in outcome.until)]
        todo += [pack.measurements[id_] for id_ in before if id_ in pack.measurements]
    return [m for m in pack.measurements.values() if m.id in found]


def _switched_on(pack: Pack, leading: set[str], options: Mapping[str, str]) -> set[str]:
    """The causes that lead to the symptom and all that they can switch on: what a reading may be of."""
    found = {id_ for id_ in leading if id_ in pack.causes}
    todo = list(found)
    while todo:
        id_ = todo.pop()
        one = pack.causes[id_] if id_ in pack.causes else pack.effects[id_]
        for target in one.leads_to:
            effect = pack.effects.get(target)
            if target not in found and effect is not None and applies(effect.only_if, options) is not False:
                found.add(target)
                todo.append(target)
    return found


def _names(measurement: Measurement, ids: set[str]) -> Iterator[bool]:
    for rule in measurement.reads:
        yield from (id_ in ids for id_ in ids_in(rule.when))


def _tools(steps: Iterable[Measurement | Repair]) -> Iterator[str]:
    for step in steps:
        yield from (id_ for one in step.instrument for id_ in one)
        yield from step.skill
