"""The field rules of the Open Repair Data Standard, read from their data file, and rows held to them."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from nextprobe.resources import schemas_dir


@dataclass(frozen=True, slots=True)
class Field:
    """One column. pattern: of the whole value; '' for any. enum, category: the only values, where there are any."""

    name: str
    required: bool = False
    pattern: str = ""
    unique: bool = False
    enum: tuple[str, ...] = ()
    category: bool = False
    date: bool = False


@cache
def ords_fields() -> tuple[Field, ...]:
    """The columns in their order."""
    return tuple(Field(**{**one, "enum": tuple(one.get("enum", ()))}) for one in _data()["fields"])


@cache
def ords_categories() -> dict[str, int]:
    """The product categories and their numbers."""
    return {name: number for number, name in enumerate(_data()["categories"], 1)}


def ords_problems(rows: Sequence[Mapping[str, str]]) -> list[str]:
    """What in `rows` breaks a rule, each naming row (from 1) and column. An empty value breaks none."""
    found: list[str] = []
    names = [field.name for field in ords_fields()]
    for number, row in enumerate(rows, 1):
        if list(row) != names:
            found.append(f"row {number}: its columns are not those of the standard")
            continue
        for field in ords_fields():
            value = row[field.name]
            if value and (said := _broken(field, value)):
                found.append(f"row {number}, {field.name}: {value!r} {said}")
        status, barrier = row["repair_status"], row["repair_barrier_if_end_of_life"]
        if barrier and status != "End of life":
            found.append(f"row {number}, repair_barrier_if_end_of_life: only what is at its end of life has one")
    for field in ords_fields():
        values = [row[field.name] for row in rows if field.unique and list(row) == names]
        found += [f"{field.name}: {one!r} stands twice" for one in dict.fromkeys(values) if values.count(one) > 1]
    return found


def _broken(field: Field, value: str) -> str:
    if field.pattern and not re.fullmatch(field.pattern, value, re.ASCII):
        return f"does not read as {field.pattern}"
    if field.enum and value not in field.enum:
        return f"is none of: {', '.join(field.enum)}"
    if field.category and value not in ords_categories():
        return "is no product category of the standard"
    return "is no day as 2026-03-09" if field.date and not _is_day(value) else ""


def _is_day(value: str) -> bool:
    try:
        return re.fullmatch(r"\d{4}-\d\d-\d\d", value, re.ASCII) is not None and bool(date.fromisoformat(value))
    except ValueError:
        return False


@cache
def _data() -> dict[str, Any]:
    found: dict[str, Any] = json.loads((schemas_dir() / "ords-0.3.json").read_text("utf-8"))
    return found
