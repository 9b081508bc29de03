"""The lines that were answered, read into values; what cannot be read is said with what to write instead."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence

from nextprobe.errors import QuantityError, UsageError
from nextprobe.quantity import parse_minutes
from nextprobe.write.answers import Answers, CauseLine, MeasurementLine, QuoteLine, RepairLine
from nextprobe.write.questions import QUESTIONS
from nextprobe.write.words import first_capital, title_of

#: Beyond this the pack would be named as odd by `validate`.
MOST_MINUTES = 600.0
MOST_LINES = 200
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?|[.,]\d+")
_WEIGHT_AT_END = re.compile(
    r"^(.*?)(?:\s*[:=,]\s*|\s+)((?:\d+(?:[.,]\d+)?|[.,]\d+)\s*(?:%|percent))$|^(.*?)\s*[:=]\s*(\S+)$"
)
_ALL = frozenset({"all", "any", "each", "every"})


def read_answers(lines: Mapping[str, Sequence[str]]) -> Answers:
    """The answers by question; a question without a line takes its default.

    Raises UsageError for the first line that cannot be read.
    """
    said = {
        one.key: tuple(line for line in lines.get(one.key, ()) if title_of(line)) or one.default for one in QUESTIONS
    }
    causes = read_causes(said["causes"])
    repairs, quote = read_repairs(said["repairs"], causes)
    return Answers(
        machine=title_of(" ".join(said["machine"])),
        symptom=first_capital(title_of(" ".join(said["symptom"]))),
        causes=causes,
        measurements=read_measurements(said["measurements"], causes),
        repairs=repairs,
        quote=quote,
    )


def read_causes(lines: Sequence[str]) -> tuple[CauseLine, ...]:
    """``what; how many in a hundred`` a line: also ``what: 40`` and ``what 40 %``; without a figure, 1."""
    _not_too_many(lines)
    found: list[CauseLine] = []
    for line in lines:
        text, share = _cause_parts(line)
        title = _title(text, line, "a cause", "float stuck; 40")
        weight = _number(share.rstrip("% ").removesuffix("percent"), line, "how often") if share else 1.0
        if weight <= 0:
            raise UsageError(
                f"{_shown(line)}: a cause that never comes has no place in a pack.", "Write a share above 0."
            )
        _new(title, line, [other.title for other in found], "Write it once, with its whole share.")
        found.append(CauseLine(title, weight, bool(share)))
    return tuple(found)


def read_measurements(lines: Sequence[str], causes: Sequence[CauseLine]) -> tuple[MeasurementLine, ...]:
    """``what; minutes; numbers of causes`` a line."""
    _not_too_many(lines)
    found: list[MeasurementLine] = []
    for line in lines:
        parts = _fields(line, 3, 3, "what; minutes; numbers of causes", "lift the float by hand; 2; 1")
        title = _title(parts[0], line, "a measurement", "lift the float by hand; 2; 1")
        _new(title, line, [other.title for other in found], "Say in each what the other is not.")
        found.append(MeasurementLine(title, _minutes(parts[1], line), _places(parts[2], line, causes)))
    return tuple(found)


def read_repairs(lines: Sequence[str], causes: Sequence[CauseLine]) -> tuple[tuple[RepairLine, ...], QuoteLine]:
    """``what; minutes; price; numbers of causes`` a line, and ``quote; minutes; price``."""
    _not_too_many(lines)
    found: list[RepairLine] = []
    quote: QuoteLine | None = None
    for line in lines:
        parts = _fields(line, 3, 4, "what; minutes; price of parts; numbers of causes", "free the float; 10; 0; 1")
        if parts[0].strip().lower() == "quote":
            if len(parts) != 3 or quote is not None:
                raise UsageError(f"{_shown(line)} is not the one quote.", "Write it once: quote; minutes; price.")
            quote = QuoteLine(_minutes(parts[1], line), _number(_money(parts[2]), line, "the price"))
            continue
        if len(parts) == 3:
            parts.insert(2, "0")
        title = _title(parts[0], line, "a repair", "free the float; 10; 0; 1")
        _new(title, line, [other.title for other in found], "Say in each what the other is not.")
        price = _number(_money(parts[2]), line, "the price of parts")
        found.append(RepairLine(title, _minutes(parts[1], line), price, _places(parts[3], line, causes)))
    dearest = max((one.minutes + one.parts for one in found), default=0.0)
    return tuple(found), quote or QuoteLine(15.0, math.ceil(max(200.0, 3 * dearest)), stated=False)


def _cause_parts(line: str) -> tuple[str, str]:
    parts = _split(line)
    if len(parts) > 2:
        raise UsageError(f"{_shown(line)} has {len(parts)} parts.", "Write a cause as in `float stuck; 40`.")
    if len(parts) == 2:
        return parts[0], parts[1].strip()
    hit = _WEIGHT_AT_END.match(line.strip())
    if hit is None:
        return line, ""
    text, share = (hit[1], hit[2]) if hit[2] else (hit[3], hit[4])
    # A colon may belong to the words: only a figure behind it is a share.
    return (text, share) if _NUMBER.fullmatch(share.rstrip("% ").removesuffix("percent").strip()) else (line, "")


def _split(line: str) -> list[str]:
    return line.split(";" if ";" in line else "|")


def _fields(line: str, least: int, most: int, form: str, like: str) -> list[str]:
    parts = _split(line)
    while len(parts) > least and not parts[-1].strip():
        parts.pop()
    if not least <= len(parts) <= most:
        raise UsageError(f"{_shown(line)} has {len(parts)} parts.", f"Write `{form}`, as in `{like}`.")
    return parts


def _title(text: str, line: str, what: str, like: str) -> str:
    title = first_capital(title_of(text))
    if not title:
        raise UsageError(f"{_shown(line)} does not name {what}.", f"Write it as in `{like}`.")
    return title


def _new(title: str, line: str, before: Sequence[str], cure: str) -> None:
    if title.casefold() in (other.casefold() for other in before):
        raise UsageError(f"{_shown(line)} stands there twice.", cure)


def _number(text: str, line: str, what: str) -> float:
    plain = text.strip()
    if not _NUMBER.fullmatch(plain):
        raise UsageError(f"{_shown(line)}: {_shown(plain)} is no figure for {what}.", "Write it as in 12 or 1.5.")
    value = float(plain.replace(",", "."))
    if value > 1e9:
        raise UsageError(f"{_shown(line)}: {_shown(plain)} is too great for {what}.", "Write a smaller figure.")
    return value


def _money(text: str) -> str:
    """A price without its currency."""
    return re.sub(r"^[^\d.,]{0,4}|[^\d.,]{0,4}$", "", text.strip())


def _minutes(text: str, line: str) -> float:
    try:
        value = parse_minutes(text.strip().replace(",", ".") or "?")
    except QuantityError:
        raise UsageError(
            f"{_shown(line)}: {_shown(text.strip())} is no time.", "Write minutes as in 2, or a time as in 1 h."
        ) from None
    if value > MOST_MINUTES:
        raise UsageError(
            f"{_shown(line)}: {value:g} minutes with a hand on it are too many.",
            f"Write at most {MOST_MINUTES:g}; what runs alone is written as `wait` in the pack.",
        )
    return value


def _places(text: str, line: str, causes: Sequence[CauseLine]) -> tuple[int, ...]:
    """The causes that numbers (from 1), `all` or their own words name."""
    found: list[int] = []
    if text.strip().lower() in _ALL:
        return tuple(range(len(causes)))
    names = [one.title.lower() for one in causes]
    for part in (p for p in re.split(r"[,+&\s]+", text.strip()) if p):
        number = part.rstrip(".")
        if not (number.isascii() and number.isdigit()):
            if title_of(text).lower() in names:
                return (names.index(title_of(text).lower()),)
            raise UsageError(f"{_shown(line)}: {_shown(part)} is not the number of a cause.", _numbers(causes))
        if not 1 <= int(number[:9]) <= len(causes):
            raise UsageError(f"{_shown(line)}: there is no cause {number[:9]}.", _numbers(causes))
        if int(number) - 1 not in found:
            found.append(int(number) - 1)
    if not found:
        raise UsageError(f"{_shown(line)} names no cause.", _numbers(causes))
    return tuple(sorted(found))


def _numbers(causes: Sequence[CauseLine]) -> str:
    shown = ", ".join(f"{number} {_shown(one.title)}" for number, one in enumerate(causes[:12], 1))
    return f"The causes are {shown}{', …' if len(causes) > 12 else ''}."


def _not_too_many(lines: Sequence[str]) -> None:
    if len(lines) > MOST_LINES:
        raise UsageError(f"{len(lines)} lines are too many to begin with.", f"Begin with {MOST_LINES} or fewer.")


def _shown(text: str) -> str:
    one_line = title_of(text)
    return f"`{one_line if len(one_line) <= 60 else one_line[:57] + '…'}`"
