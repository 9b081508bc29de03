"""The statement of a report on a figure and its limits.

Rules: ILAC-G8:09/2019, 4.2.1 (simple acceptance, w = 0) and 4.2.3 (guard band w = U, four statements); the chance to
lie within the limits: JCGM 106:2012, 7; u = a/√3: JCGM 100, 4.3.7 (clauses from memory). The vectors were computed by
hand from those rules for a meter of 0.5 % + 3 counts.
"""

from __future__ import annotations

from math import inf

import pytest

from nextprobe.quantity import Accuracy, Band, parse_reading
from nextprobe.report.conformity import GUARDED, SIMPLE, accuracy_words, conformity

METER = Accuracy(0.5, 3)
VECTORS = [
    ("1.203", 1.14, 1.26, 0.0104, "pass"),
    ("1.148", 1.14, 1.26, 0.0101, "conditional pass"),
    ("1.136", 1.14, 1.26, 0.0100, "conditional fail"),
    ("1.121", 1.14, 1.26, 0.0099, "fail"),
    ("1.255", 1.14, 1.26, 0.0107, "conditional pass"),
    ("3.139", 3.135, 3.465, 0.0216, "conditional pass"),
    ("4.720", 4.75, 5.25, 0.0307, "conditional fail"),
    ("19.06", 19.0, 21.0, 0.1447, "conditional pass"),
    ("4.310", 4.25, 5.5, 0.0283, "pass"),
]


@pytest.mark.parametrize(("typed", "low", "high", "expanded", "said"), VECTORS)
def test_with_a_known_meter_the_guard_band_rules(
    typed: str, low: float, high: float, expanded: float, said: str
) -> None:
    found = conformity(parse_reading(f"{typed} V", "voltage"), Band(low, high), METER, 6000)
    assert (found.rule, found.statement) == (GUARDED, said)
    assert found.expanded == pytest.approx(expanded, abs=6e-5)


@pytest.mark.parametrize(
    ("typed", "low", "high", "said"),
    [
        ("1.148", 1.14, 1.26, "pass"),
        ("1.136", 1.14, 1.26, "fail"),
        ("1.14", 1.14, 1.26, "pass"),
        ("1.26", 1.14, 1.26, "pass"),
        ("1.261", 1.14, 1.26, "fail"),
    ],
)
def test_without_its_accuracy_acceptance_is_simple(typed: str, low: float, high: float, said: str) -> None:
    found = conformity(parse_reading(typed, "voltage"), Band(low, high), None, 6000)
    assert (found.rule, found.statement, found.inside, found.expanded) == (SIMPLE, said, None, 0.0)


def test_the_chance_to_lie_within_the_limits() -> None:
    # JCGM 106, one-sided limit of 0.2 V, y = 0.2 V: the figure on the limit is inside with one half.
    found = conformity(parse_reading("0.200 V", "voltage"), Band(-inf, 0.2), METER, 6000)
    assert found.inside == pytest.approx(0.5)
    # a = 1 %, so u = 0.01/√3: y one standard uncertainty inside the limit is inside with Φ(1) = 0.8413.
    far = conformity(parse_reading("1.00000 V", "voltage"), Band(1 - 0.01 / 3**0.5, inf), Accuracy(1, 0), 6000)
    assert far.inside == pytest.approx(0.841345, abs=1e-5)


@pytest.mark.parametrize(
    ("band", "said"), [(Band(1e6, inf), "pass"), (Band(10.0, 1e3), "fail"), (Band(-inf, 5.0), "fail")]
)
def test_over_limit_passes_where_the_limits_are_open_above(band: Band, said: str) -> None:
    found = conformity(parse_reading("OL", "resistance"), band, METER, 6000)
    assert (found.statement, found.rule, found.inside) == (said, SIMPLE, None)


def test_a_meter_too_coarse_for_the_band_shows() -> None:
    # U = 0.0416 of half the band 0.06: 69 %.
    found = conformity(parse_reading("1.20 V", "voltage"), Band(1.14, 1.26), Accuracy(0.5, 3), 600)
    assert found.share == pytest.approx(0.69, abs=0.005)


@pytest.mark.parametrize(
    ("accuracy", "said"),
    [
        (Accuracy(0.5, 3), "± (0.5 % + 3 counts)"),
        (Accuracy(1, 0), "± 1 %"),
        (Accuracy(0, 3), "± 3 counts"),
        (None, ""),
    ],
)
def test_an_accuracy_reads_as_on_a_meters_sheet(accuracy: Accuracy | None, said: str) -> None:
    assert accuracy_words(accuracy) == said
