"""A JSON Schema error in plain words: what is wrong and what to write instead."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Final

from nextprobe.pack.marks import Path
from nextprobe.pack.near import did_you_mean, nearest, with_article
from nextprobe.pack.schema_like import written_like

#: A ValidationError of jsonschema, whose attributes are set by the time it is raised.
Fault = Any


@dataclass(frozen=True, slots=True)
class Said:
    """One defect of shape; `near` is the key it may be about, `drop` whether its value is unusable."""

    code: str
    path: Path
    message: str
    cure: str
    of_key: bool = False
    near: str = ""
    drop: bool = True


_TYPES: Final = {
    "object": "a mapping",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "nothing",
}
_PERCENT: Final = re.compile(r"([0-9]+(?:\.[0-9]+)?) ?%")
_PATTERNS: Final = {
    "^[a-z][a-z0-9_]*$": ("is no id", "Write it in lower_snake_case: small letters, digits and _, a letter first."),
    "^[a-z0-9][a-z0-9_]*$": ("is no name for a value", "Use small letters, digits and _ only."),
    "^[a-z][a-z0-9_-]*$": ("is no id of a pack", "Use small letters, digits, - and _, a letter first."),
    "^[a-z0-9][a-z0-9_-]*$": ("is no id of a board sheet", "Use small letters, digits, - and _."),
    "^[0-9]{4}-[0-9]{2}-[0-9]{2}$": ("is no date", "Write year, month and day, as 2026-11-25."),
    r"^[^\s]+\.ya?ml$": ("is no file to include", "Write a relative path that ends in .yaml."),
}


def words_for(error: Fault, path: Path) -> Iterator[Said]:
    """The defects that one schema error stands for."""
    worded = _WORDS.get(str(error.validator))
    if worded is not None:
        yield from worded(error, path)
    else:
        yield Said("NP209", path, f"This does not fit: {error.message}.", _about(error))


def _about(error: Fault) -> str:
    schema = error.schema if isinstance(error.schema, dict) else {}
    return str(schema.get("description", ""))


def _sentences(*parts: str) -> str:
    return " ".join(part for part in parts if part)


def _shown(value: Any) -> str:
    text = "nothing" if value is None else str(value).lower() if isinstance(value, bool) else str(value)
    return text if len(text) <= 60 else text[:57] + "…"


def _name(path: Path) -> str:
    named = [str(part) for part in path if isinstance(part, str)]
    return f"`{named[-1]}`" if named else "the file"


def _unknown(error: Fault, path: Path) -> Iterator[Said]:
    known = list(error.schema.get("properties", {}))
    for key in error.instance:
        if key in known:
            continue
        near = nearest(str(key), known)
        what = str(error.schema.get("title", "mapping")).lower()
        if error.instance[key] is None and " " in str(key):
            message = f"The comma before `{key}` ends the text it stands in."
            cure = "Inside { } and [ ] a comma separates entries: put the whole text into quotes."
            yield Said("NP201", (*path, key), message, cure, of_key=True)
            continue
        where = with_article(what)
        cure = did_you_mean(str(key), known) if near else f"Known here: {', '.join(known)}."
        if error.instance[key] is None and not near:
            cure = f"If it belongs to what is before it: a list stands in [ ], a text with a comma in quotes. {cure}"
        yield Said("NP201", (*path, key), f"There is no key `{key}` in {where}.", cure, of_key=True, near=near)


def _missing(error: Fault, path: Path) -> Iterator[Said]:
    for key in error.validator_value:
        if key not in error.instance:
            about = error.schema.get("properties", {}).get(key, {}).get("description", "")
            where = _name(path) if path else "the file"
            yield Said(
                "NP202",
                path,
                f"`{key}` is missing in {where}.",
                f"Add `{key}: …`. {about}".strip(),
                of_key=True,
                near=key,
                drop=False,
            )


def _type(error: Fault, path: Path) -> Iterator[Said]:
    wanted = [error.validator_value] if isinstance(error.validator_value, str) else list(error.validator_value)
    should = " or ".join(_TYPES[one] for one in wanted)
    value = error.instance
    if value is None:
        like = written_like(error.schema, error.instance, path)
        cure = _sentences(f"Write {should} after it.", _about(error), like)
        yield Said("NP203", path, f"{_name(path)} has no value.", cure)
        return
    given = _TYPES[
        "boolean"
        if isinstance(value, bool)
        else "object"
        if isinstance(value, dict)
        else "array"
        if isinstance(value, list)
        else "string"
        if isinstance(value, str)
        else "number"
    ]
    cure = _about(error)
    if "string" in wanted and isinstance(value, (int, float)):
        cure = _sentences(f'Put it in quotes: "{_shown(value)}".', cure)
    elif isinstance(value, str) and ("number" in wanted or "integer" in wanted):
        cure = _sentences(_as_share(error, value), cure)
    elif isinstance(value, str) and wanted == ["array"] and path:
        cure = _sentences(f"Put it into brackets: `{path[-1]}: [{_shown(value)}]`.", cure)
    elif "object" in wanted or "array" in wanted:
        cure = _sentences(cure, written_like(error.schema, error.instance, path))
    shown = f" ({_shown(value)})" if not isinstance(value, (dict, list)) else ""
    # A block's own place is that of its key; its first entry stands a line below.
    block = isinstance(value, (dict, list))
    yield Said("NP203", path, f"{_name(path)} is {given}{shown} where {should} belongs.", cure, of_key=block)


def _as_share(error: Fault, text: str) -> str:
    """What to write for a number in words; a share that was written in percent is worked out."""
    percent = _PERCENT.fullmatch(text.strip())
    if percent and error.schema.get("maximum") == 1:
        return f"Write {float(percent[1]) / 100:g} for {percent[1]} %."
    return "Write a plain number, without quotes, unit or sign before it."


def _choice(error: Fault, path: Path) -> Iterator[Said]:
    known = [_shown(one) for one in error.validator_value]
    cure = f"One of: {', '.join(known)}."
    near = nearest(_shown(error.instance), known) or next(
        (one for one in known if one == _shown(error.instance).upper()), ""
    )
    if near:
        cure = f"Did you mean `{near}`? {cure}"
    yield Said("NP204", path, f"{_name(path)} cannot be `{_shown(error.instance)}`.", cure)


def _const(error: Fault, path: Path) -> Iterator[Said]:
    yield Said(
        "NP204",
        path,
        f"{_name(path)} cannot be `{_shown(error.instance)}`.",
        f"Write `{_shown(error.validator_value)}`. {_about(error)}",
    )


def _bound(error: Fault, path: Path) -> Iterator[Said]:
    words = {"minimum": "at least", "maximum": "at most", "exclusiveMinimum": "above", "exclusiveMaximum": "below"}
    limit = f"{words[str(error.validator)]} {error.validator_value}"
    hint = "A share of 5 % is written 0.05." if error.validator == "maximum" and error.instance > 1 else ""
    cure = _sentences(hint, _about(error))
    yield Said("NP205", path, f"{_name(path)} is {_shown(error.instance)}; it must be {limit}.", cure)


def _pattern(error: Fault, path: Path) -> Iterator[Said]:
    pattern = str(error.validator_value)
    is_key = "propertyNames" in error.absolute_schema_path
    if pattern in _PATTERNS:
        what, cure = _PATTERNS[pattern]
    else:
        what, cure = "is no time", "Write minutes as a plain number, or a figure with a unit: 15 min, 24 h, 90 s."
    like = written_like(error.schema, error.instance, path)
    if like and " " in str(error.instance):
        # More than one word, where more than one form serves: the other one was meant.
        cure = _sentences(_about(error), like)
    target = (*path, error.instance) if is_key else path
    yield Said("NP206", target, f"`{_shown(error.instance)}` {what}.", cure, of_key=is_key, drop=not is_key)


def _size(error: Fault, path: Path) -> Iterator[Said]:
    few = str(error.validator).startswith("min")
    nothing = few and not error.instance
    message = f"{_name(path)} is empty." if nothing else f"{_name(path)} has too {'few' if few else 'many'} entries."
    cure = f"Fill it in or delete it. {_about(error)}" if nothing else _about(error)
    yield Said("NP207", path, message, cure)


def _twice(error: Fault, path: Path) -> Iterator[Said]:
    for index, value in enumerate(error.instance):
        if value in error.instance[:index]:
            yield Said(
                "NP210",
                (*path, index),
                f"`{_shown(value)}` stands twice in {_name(path)}.",
                "Delete one of them.",
                drop=False,
            )


def _depends(error: Fault, path: Path) -> Iterator[Said]:
    for key, others in error.validator_value.items():
        for other in others:
            if key in error.instance and other not in error.instance:
                about = error.schema.get("properties", {}).get(other, {}).get("description", "")
                yield Said(
                    "NP208",
                    (*path, key),
                    f"`{key}` stands without `{other}`.",
                    f"Add `{other}: …`. {about}".strip(),
                    of_key=True,
                    near=other,
                    drop=False,
                )


def _forms(error: Fault, path: Path) -> Iterator[Said]:
    yield Said("NP208", path, f"These keys do not make {_what(error)}.", _about(error))


def _what(error: Fault) -> str:
    title = str(error.schema.get("title", "entry")).lower()
    return with_article(title)


_WORDS: Final[dict[str, Callable[[Fault, Path], Iterator[Said]]]] = {
    "additionalProperties": _unknown,
    "required": _missing,
    "type": _type,
    "enum": _choice,
    "const": _const,
    "minimum": _bound,
    "maximum": _bound,
    "exclusiveMinimum": _bound,
    "exclusiveMaximum": _bound,
    "pattern": _pattern,
    "minLength": _size,
    "minItems": _size,
    "maxItems": _size,
    "minProperties": _size,
    "maxProperties": _size,
    "uniqueItems": _twice,
    "dependentRequired": _depends,
    "oneOf": _forms,
}
