"""What a typed number means. No outside source: `#` is the house's sign for a number of the list."""

from __future__ import annotations

import pytest

from nextprobe.walk import Choice
from nextprobe_tui.widgets.answer import chosen
from nextprobe_tui.widgets.choice_list import lines_of

CHOICES = (Choice("low", "Too low", "below 1 V"), Choice("normal", "As it should be"))


@pytest.mark.parametrize(
    ("text", "figure", "meant"),
    [
        ("1", False, "low"),
        ("#2", False, "normal"),
        ("1", True, "1"),
        ("#1", True, "low"),
        ("# 2", True, "normal"),
        ("3", False, "3"),
        ("0", False, "0"),
        ("²", False, "²"),
        ("#", True, "#"),
        (" low ", True, "low"),
        ("1.2", False, "1.2"),
    ],
)
def test_chosen(text: str, figure: bool, meant: str) -> None:
    assert chosen(text, CHOICES, figure) == meant


def test_choices_stand_in_columns_where_they_fit_whole() -> None:
    wide = [line.plain.rstrip() for line in lines_of(CHOICES, "#", 76)]
    narrow = [line.plain for line in lines_of(CHOICES, "#", 30)]
    assert wide == ["#1 Too low  below 1 V   #2 As it should be"]
    assert narrow == ["#1 Too low  below 1 V", "#2 As it should be"]


def test_no_choices_are_no_lines() -> None:
    assert lines_of((), "", 76) == []
