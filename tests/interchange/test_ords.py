"""Finished jobs as open repair data.

Field names, patterns, enumerations and categories: Open Repair Data Standard 0.3, its published table schema and
product categories; which fields are required: its chapter "Input fields". CSV: RFC 4180. Countries: ISO 3166-1.
"""

from __future__ import annotations

import csv
import io
import re
from datetime import date
from pathlib import Path

import pytest

from nextprobe import load_pack
from nextprobe.errors import UsageError
from nextprobe.interchange.ords import ords_rows, ords_text
from nextprobe.interchange.ords_rules import ords_categories, ords_fields, ords_problems
from nextprobe.job import start_job
from nextprobe.record import Job
from nextprobe.record.jobs import job_id, place_in_day
from nextprobe.record.store import Store
from tests.interchange.jobs_made import LAMP, Minutes, a_store, left

# The columns in their order, as the published table schema has them.
COLUMNS = [
    "id",
    "data_provider",
    "country",
    "partner_product_category",
    "product_category",
    "product_category_id",
    "brand",
    "year_of_manufacture",
    "product_age",
    "repair_status",
    "repair_barrier_if_end_of_life",
    "group_identifier",
    "event_date",
    "problem",
]
REQUIRED = {"id", "data_provider", "country", "partner_product_category", "repair_status", "event_date", "problem"}


def ended(store: Store, repair: str | None, result: str = "gone") -> Job:
    """A finished job: `repair` told so, else quoted."""
    opened = start_job(store, load_pack(LAMP), technician="Mira Tolland")
    walk = opened.walk
    if repair is None:
        walk.tell("refer", "done")
    else:
        walk.tell(repair, "done" if result == "gone" else result)
    while result == "gone" and repair is not None and walk.ending is None:
        ask = walk.ask()
        walk.tell(ask.id, "gone" if ask.id == "seen" else ask.choices[0].id)
    walk.note("Owner is Ada Quill")
    walk.close()
    return store.job(opened.job.id)


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return a_store(tmp_path)


def first_repair() -> str:
    return next(iter(load_pack(LAMP).repairs))


def test_the_rules_are_those_of_the_published_schema() -> None:
    fields = {field.name: field for field in ords_fields()}
    assert list(fields) == COLUMNS
    assert {name for name, field in fields.items() if field.required} == REQUIRED
    assert fields["repair_status"].enum == ("Fixed", "Repairable", "End of life", "Unknown")
    assert len(fields["repair_barrier_if_end_of_life"].enum) == 6
    categories = ords_categories()
    assert len(categories) == 40
    assert (categories["Laptop"], categories["Lamp"], categories["Iron"]) == (16, 15, 40)


def test_endings_become_repair_states(store: Store) -> None:
    jobs = [ended(store, first_repair()), ended(store, None), ended(store, first_repair(), "ruined"), left(store)]
    assert [job.ending for job in jobs] == ["repaired", "referred", "referred", "left"]
    rows = ords_rows(store, jobs, country="deu", provider="Kiln Lane Repairs", category="lamp")
    assert [row["repair_status"] for row in rows] == ["Fixed", "Repairable", "End of life", "Unknown"]
    assert ords_problems(rows) == []
    for row in rows:
        assert all(row[name] for name in REQUIRED)
        assert re.fullmatch("[a-z]+-[0-9]+", row["id"])
        assert row["id"].startswith("kilnlanerepairs-20260309")
        assert (row["country"], row["product_category"], row["product_category_id"]) == ("DEU", "Lamp", "15")
        assert date.fromisoformat(row["event_date"]) == date(2026, 3, 9)
    assert len({row["id"] for row in rows}) == 4


def test_no_name_and_no_note_is_published(store: Store) -> None:
    text = ords_text(ords_rows(store, [ended(store, first_repair())]))
    assert "Mira" not in text
    assert "Ada" not in text


def test_the_problem_says_what_was_complained_of_found_and_done(store: Store) -> None:
    pack = load_pack(LAMP)
    (row,) = ords_rows(store, [ended(store, first_repair())])
    assert row["problem"].startswith(next(iter(pack.symptoms.values())).title)
    assert f"Done: {pack.repairs[first_repair()].title}" in row["problem"]
    assert "\n" not in row["problem"]


def test_the_file_reads_back_as_csv(store: Store) -> None:
    rows = ords_rows(store, [ended(store, first_repair()), left(store)], country="FRA")
    text = ords_text(rows)
    assert text.splitlines()[0].split(",") == COLUMNS
    assert list(csv.DictReader(io.StringIO(text))) == rows


def test_an_id_as_a_number_is_its_own() -> None:
    # Base 32 with the digits first: the place value system, no source needed.
    assert place_in_day("0000") == 0
    assert place_in_day("0010") == 32
    assert place_in_day("zzzz") == 32**4 - 1
    clock = Minutes()
    ids = [job_id(clock()) for _ in range(200)]
    assert len({place_in_day(one[-4:]) for one in ids}) == 200


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"country": "Germany"}, "'GERMANY' is no country"),
        ({"country": "ÄÖÜ"}, "is no country"),
        ({"category": "Laptops"}, "Did you mean Laptop?"),
        ({"category": "spaceship"}, "is no product category"),
    ],
)
def test_what_breaks_a_rule_is_refused(store: Store, given: dict[str, str], said: str) -> None:
    with pytest.raises(UsageError, match=re.escape(said)):
        ords_rows(store, [left(store)], **given)


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("id", "Kiln-12", "does not read as"),
        ("id", "kiln12", "does not read as"),
        ("country", "DE", "does not read as"),
        ("product_category", "Lap top", "no product category"),
        ("product_category_id", "117", "does not read as"),
        ("year_of_manufacture", "19", "does not read as"),
        ("product_age", "old", "does not read as"),
        ("repair_status", "fixed", "is none of"),
        ("repair_barrier_if_end_of_life", "No will", "is none of"),
        ("repair_barrier_if_end_of_life", "Too worn out", "only what is at its end of life"),
        ("event_date", "09.03.2026", "is no day"),
        ("event_date", "2026-02-30", "is no day"),
    ],
)
def test_each_field_rule_is_held(column: str, value: str, said: str) -> None:
    sound = dict.fromkeys(COLUMNS, "") | {"id": "kiln-1", "repair_status": "Fixed", "event_date": "2026-03-09"}
    assert ords_problems([sound]) == []
    found = ords_problems([sound | {column: value}])
    assert found
    assert any(said in one and column in one for one in found)


def test_ids_are_unique_and_columns_complete() -> None:
    sound = dict.fromkeys(COLUMNS, "") | {"id": "kiln-1"}
    assert ords_problems([sound, sound]) == ["id: 'kiln-1' stands twice"]
    assert ords_problems([{"id": "kiln-1"}]) == ["row 1: its columns are not those of the standard"]
