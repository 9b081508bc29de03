"""Luck that a seed fixes: every question has a coin of its own, whatever was asked before it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import TypeVar

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Luck:
    """The luck of one machine. `name` tells the luck of one thing from that of another under the same seed."""

    seed: int
    name: str = ""

    def of(self, *words: object) -> Random:
        """A generator for one question; the same words give the same numbers, on every machine and in every order."""
        return Random("/".join((str(self.seed), self.name, *map(str, words))))

    def within(self, name: str) -> Luck:
        """Luck of its own for a part of the machine."""
        return Luck(self.seed, f"{self.name}/{name}")

    def pick(self, things: Sequence[T], weights: Sequence[float], *words: object) -> T:
        """One of `things`, by `weights` (not all 0); the same words pick the same."""
        return self.of(*words).choices(things, weights)[0]
