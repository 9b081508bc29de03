"""Times and money in words. Common practice, no source."""

from __future__ import annotations

import pytest

from nextprobe_tui.words import clock_words, kind_word, minutes, money, said, spent


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0, "no time"),
        (0.2, "10 s"),
        (0.5, "30 s"),
        (0.97, "1 min"),
        (1, "1 min"),
        (4.2, "4.2 min"),
        (12.3, "12 min"),
        (90, "90 min"),
        (150, "2 h 30"),
        (1440, "24 h"),
    ],
)
def test_minutes(value: float, words: str) -> None:
    assert minutes(value) == words


def test_money_has_cents_only_where_there_are_any() -> None:
    assert (money(9, "EUR"), money(9.5, "EUR"), money(9, "")) == ("9 EUR", "9.50 EUR", "9")


def test_spent_keeps_waiting_and_money_apart() -> None:
    assert spent(20, 0, 0, "EUR") == "20 min"
    assert spent(20, 15, 9, "EUR") == "20 min + 15 min waiting + 9 EUR parts"


def test_kind_word() -> None:
    assert (kind_word("measure", "voltage"), kind_word("measure"), kind_word("repair")) == (
        "MEASURE",
        "CHECK",
        "REPAIR",
    )


def test_the_clock_reads_as_one() -> None:
    assert [clock_words(minutes) for minutes in (0, 3.13, 63.12)] == ["0:00", "3:07", "1:03:07"]


def test_said_reads_as_a_sentence() -> None:
    assert said("Plug fuse", "whole") == "Plug fuse: whole."
    assert said("Which driver is fitted?", "plain.") == "Which driver is fitted? plain."
