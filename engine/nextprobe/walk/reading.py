"""What was told, understood: an outcome, a figure with the meter's doubt, a result."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from nextprobe.errors import AmbiguousError, NotAllowedError, QuantityError, UnreadableError
from nextprobe.pack.pack import Instrument, Measurement, Option, Outcome, Pack
from nextprobe.quantity import (
    Accuracy,
    Band,
    Reading,
    format_quantity,
    outcome_weights,
    parse_band,
    parse_reading,
    resolve_bands,
    standard_uncertainty,
    statement,
)
from nextprobe.quantity.units import base_unit
from nextprobe.walk.ask import Choice, Taken
from nextprobe.walk.state import State, Told

FACT_CHOICES = (Choice("reported", "Yes"), Choice("denied", "No"), Choice("not_known", "Not known"))
SEEN_CHOICES = (Choice("gone", "The symptom is gone"), Choice("still", "It is still there"))
REPAIR_CHOICES = (
    Choice("done", "Done as described"),
    Choice("given_up", "Begun, not finished"),
    Choice("ruined", "The machine was ruined"),
)
REFER_CHOICES = (Choice("done", "Quoted"),)
_SAME = {
    "yes": "reported", "y": "reported", "no": "denied", "n": "denied", "?": "not_known", "unknown": "not_known",
    "pass": "passed", "ok": "passed", "fail": "failed", "not_gone": "still",
}  # fmt: skip


def ranges_of(
    measurement: Measurement, options: Mapping[str, str], told: Mapping[str, Told], pack: Pack
) -> dict[str, str] | None:
    """The text of each outcome's range on this machine; None where an option that decides is unknown.

    A range relative to another reading becomes a plain one where that reading is a figure and healthy.
    """
    texts: dict[str, str] = {}
    for key, outcome in measurement.outcomes.items():
        if outcome.share and (text := _relative(measurement, outcome, told, pack)):
            texts[key] = text
        elif outcome.by:
            if outcome.by not in options:
                return None
            if options[outcome.by] in outcome.ranges:
                texts[key] = outcome.ranges[options[outcome.by]]
        elif outcome.ranges:
            texts[key] = outcome.ranges[""]
    return texts


def _relative(measurement: Measurement, outcome: Outcome, told: Mapping[str, Told], pack: Pack) -> str:
    other = told.get(outcome.of)
    if other is None or other.value is None or other.outcome != pack.measurements[outcome.of].healthy:
        return ""
    share = parse_band(outcome.share, "share", {})
    unit = base_unit(measurement.quantity)
    low, high = share.low * other.value, share.high * other.value
    if share.high == float("inf"):
        return f"above {low:.6g} {unit}"
    if share.low == float("-inf"):
        return f"below {high:.6g} {unit}"
    return f"{low:.6g} {unit} .. {high:.6g} {unit}"


def bands_of(
    measurement: Measurement, options: Mapping[str, str], told: Mapping[str, Told], pack: Pack
) -> dict[str, Band] | None:
    """The band of each outcome that has a range; None where an option that decides is unknown."""
    if not measurement.quantity:
        return {}
    texts = ranges_of(measurement, options, told, pack)
    return None if texts is None else resolve_bands(texts, measurement.quantity)


def band_words(band: Band, unit: str) -> str:
    """A band as a person reads it."""
    if band.low == float("-inf"):
        return f"below {format_quantity(band.high, unit)}"
    if band.high == float("inf"):
        return f"above {format_quantity(band.low, unit)}"
    return f"{format_quantity(band.low, unit)} to {format_quantity(band.high, unit)}"


def match_choice(text: str, choices: Iterable[Choice]) -> str | None:
    """The id of the choice that `text` names: its id, its words, or a beginning that fits only one.

    Raises AmbiguousError where a beginning fits several.
    """
    wanted = _plain(text)
    known = list(choices)
    for choice in known:
        if wanted in (choice.id, _plain(choice.say)):
            return choice.id
    same = _SAME.get(wanted)
    if same is not None and any(choice.id == same for choice in known):
        return same
    if len(wanted) < 2:
        return None
    begun = [choice.id for choice in known if choice.id.startswith(wanted) or _plain(choice.say).startswith(wanted)]
    if len(begun) > 1:
        raise AmbiguousError(
            f"{text.strip()!r} may mean {' or '.join(begun)}.", begun, "Type one of them whole, or its number."
        )
    return begun[0] if begun else None


def _plain(text: str) -> str:
    return "_".join(text.strip().lower().rstrip(".").replace("-", " ").split())


def choices_of(measurement: Measurement, bands: Mapping[str, Band] | None) -> tuple[Choice, ...]:
    """What can be told of a measurement, each with its band in words where it has one."""
    unit = base_unit(measurement.quantity) if measurement.quantity else ""
    return tuple(
        Choice(key, outcome.say, band_words(bands[key], unit) if bands and key in bands else "")
        for key, outcome in measurement.outcomes.items()
    )


def take_measurement(pack: Pack, measurement: Measurement, state: State, lacks: Collection[str], text: str) -> Taken:
    """A measurement's answer: an outcome's id or words, or a figure. Raises ToldError."""
    bands = bands_of(measurement, state.options, state.told, pack)
    choices = choices_of(measurement, bands)
    kind = "check" if measurement.is_check else "measure"
    outcome = match_choice(text, choices)
    if outcome is not None:
        say = measurement.outcomes[outcome].say
        return Taken(measurement.id, kind, outcome, {outcome: 1.0}, say)
    names = ", ".join(choice.id for choice in choices)
    if not measurement.quantity:
        raise UnreadableError(f"{text.strip()!r} is none of the answers here.", f"Answer one of: {names}.")
    if bands is None:
        by = next(o.by for o in measurement.outcomes.values() if o.by and o.by not in state.options)
        raise NotAllowedError(
            f"A figure cannot be judged before it is known: {pack.options[by].ask}",
            f"Tell {by} first, or one of: {names}.",
        )
    try:
        reading = parse_reading(text, measurement.quantity)
        counts, accuracy = meter_of(pack, measurement, lacks)
        u = standard_uncertainty(reading, accuracy, counts)
        otherwise = next((key for key, o in measurement.outcomes.items() if o.otherwise), None)
        weights = outcome_weights(reading, bands, u, otherwise)
    except QuantityError as error:
        raise UnreadableError(error.message, f"{error.cure} Or answer one of: {names}.".strip()) from None
    kept = {key: share for key, share in weights.items() if share > 1e-12}
    return Taken(
        measurement.id, kind, reading.text, kept, _say_figure(measurement, reading, bands, weights, u), reading.value
    )


def meter_of(pack: Pack, measurement: Measurement, lacks: Collection[str]) -> tuple[int, Accuracy | None]:
    """Counts and accuracy of the instrument at hand that reads this quantity."""
    for alternative in measurement.instrument:
        if set(alternative) & set(lacks):
            continue
        for name in alternative:
            instrument: Instrument | None = pack.instruments.get(name)
            if instrument is not None and measurement.quantity in instrument.accuracy:
                return instrument.counts, instrument.accuracy[measurement.quantity]
    return 6000, None


def _say_figure(
    measurement: Measurement, reading: Reading, bands: Mapping[str, Band], weights: Mapping[str, float], u: float
) -> str:
    """ "1.148 V: normal, inside the limit by less than the meter can tell." and the like."""
    shown = format_quantity(reading.value, reading.unit, reading.half_digit or None)
    best = max(weights, key=lambda key: weights[key])
    word = best.replace("_", " ")
    if best not in bands or reading.value in (float("inf"), float("-inf")):
        return f"{shown}: {word}"
    verdict = statement(reading.value, bands[best], 2 * u)
    doubt = format_quantity(float(f"{2 * u:.2g}"), reading.unit)
    if verdict == "pass":
        return f"{shown}: {word}, clear of the limits (U = {doubt})"
    rest = {key: share for key, share in weights.items() if key != best and share > 0.005}
    if not rest:
        return f"{shown}: {word}"
    other = max(rest, key=lambda key: rest[key])
    return (
        f"{shown}: {word}, but nearer to {other.replace('_', ' ')} than the meter can tell "
        f"(U = {doubt}): counted {weights[best]:.0%} and {rest[other]:.0%}"
    )


def option_choices(option: Option) -> tuple[Choice, ...]:
    """What can be told of an option."""
    return tuple(Choice(value, value.replace("_", " ")) for value in option.values)


def check_failed(measurement: Measurement, taken: Taken) -> bool:
    """Whether a check's answer is a failure: `failed`, or an outcome that is not the first of its own."""
    first = next(iter(measurement.outcomes))
    return taken.outcome != first


def take_choice(id_: str, kind: str, text: str, choices: tuple[Choice, ...]) -> Taken:
    """An answer that is one of `choices`. Raises ToldError."""
    found = match_choice(text, choices)
    if found is None:
        raise UnreadableError(
            f"{text.strip()!r} is none of the answers here.",
            f"Answer one of: {', '.join(choice.id for choice in choices)}.",
        )
    say = next(choice.say for choice in choices if choice.id == found)
    return Taken(id_, kind, found, {found: 1.0}, say)
