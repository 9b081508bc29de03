"""The five questions: what is asked, what an answer looks like, and what stands in where nothing is said."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Question:
    """`key` in an answers file; `many`: several lines, ended by an empty one; `default`: where nothing is said."""

    key: str
    ask: str
    like: str
    many: bool
    default: tuple[str, ...]


QUESTIONS = (
    Question("machine", "Which machine is the pack for?", "cellar pump with a float switch", False, ("machine",)),
    Question("symptom", "What does its owner say is wrong?", "the pump does not start", False, ("it does not work",)),
    Question(
        "causes",
        "What is it, when you find it? One cause a line, with how many jobs in a hundred.",
        "float stuck; 40",
        True,
        ("part that wears; 60", "loose connection; 40"),
    ),
    Question(
        "measurements",
        "What do you look at or measure? One a line: what; minutes; the numbers of the causes that show there.",
        "lift the float by hand; 2; 1",
        True,
        (),
    ),
    Question(
        "repairs",
        "What cures it? One a line: what; minutes; price of parts; the numbers of the causes. "
        "Last, what a replacement takes: quote; minutes; price.",
        "free the float; 10; 0; 1",
        True,
        (),
    ),
)
