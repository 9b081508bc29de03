"""The lines of the five answers: what is taken, and what is refused with a word on what to write."""

from __future__ import annotations

import pytest

from nextprobe.errors import UsageError
from nextprobe.write.answers import CauseLine
from nextprobe.write.read import read_answers, read_causes, read_measurements, read_repairs

TWO = (CauseLine("Float stuck", 40), CauseLine("Fuse blown", 10))


@pytest.mark.parametrize(
    ("line", "title", "weight"),
    [
        ("float stuck; 40", "Float stuck", 40),
        ("float stuck | 40", "Float stuck", 40),
        ("float stuck: 40 %", "Float stuck", 40),
        ("float stuck 40%", "Float stuck", 40),
        ("float stuck; 1,5", "Float stuck", 1.5),
        ("float stuck, 12,5 %", "Float stuck", 12.5),
        ("float stuck;", "Float stuck", 1),
        ("float stuck", "Float stuck", 1),
        ("bearing 6204", "Bearing 6204", 1),
        ("yes: # no", "Yes: # no", 1),
        ('a "quoted" one; 3', 'A "quoted" one', 3),
    ],
)
def test_a_cause(line: str, title: str, weight: float) -> None:
    assert read_causes([line]) == (CauseLine(title, weight),)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (["; 40"], "does not name a cause"),
        (["float; often"], "`often` is no figure"),
        (["float; 0"], "never comes"),
        (["float; 1; 2"], "has 3 parts"),
        (["float; 1", "Float; 2"], "stands there twice"),
        (["float; 1e400"], "is no figure"),
        (["float; 99999999999"], "too great"),
    ],
)
def test_a_cause_that_cannot_be_read(lines: list[str], said: str) -> None:
    with pytest.raises(UsageError, match=said):
        read_causes(lines)


def test_a_look_names_causes_by_number_or_words() -> None:
    measurements = read_measurements(["lift it; 2; 1, 2", "socket; 1,5 min; fuse blown", "all; 1 h; all"], TWO)
    assert [(one.minutes, one.shows) for one in measurements] == [(2, (0, 1)), (1.5, (1,)), (60, (0, 1))]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("lift it", "has 1 parts"),
        ("lift it; soon; 1", "is no time"),
        ("lift it; 2; 3", "no cause 3"),
        ("lift it; 2; 0", "no cause 0"),
        ("lift it; 2; the pump", "is not the number of a cause"),
        ("lift it; 700; 1", "too many"),
        ("lift it; -1; 1", "is no time"),
        ("lift it; 2; ²", "is not the number"),
        ("Look; 3; 1", "stands there twice"),
    ],
)
def test_a_look_that_cannot_be_read(line: str, said: str) -> None:
    with pytest.raises(UsageError, match=said) as caught:
        read_measurements(["look; 2; 2", line], TWO)
    assert caught.value.cure


def test_repairs_and_the_quote() -> None:
    repairs, quote = read_repairs(["free it; 10; 1", "new fuse; 5; 2,50 EUR; 2", "quote; 10; 260"], TWO)
    assert [(one.minutes, one.parts, one.cures) for one in repairs] == [(10, 0, (0,)), (5, 2.5, (1,))]
    assert (quote.minutes, quote.price, quote.stated) == (10, 260, True)


def test_a_quote_that_nobody_named_is_dearer_than_every_repair() -> None:
    _, quote = read_repairs(["free it; 500; 400; 1"], TWO)
    assert not quote.stated
    assert quote.price > 900


def test_nothing_said_takes_the_examples() -> None:
    answers = read_answers({})
    assert len(answers.causes) == 2
    assert answers.symptom == "It does not work"
    assert not answers.quote.stated
