"""What a planner is asked about."""

from __future__ import annotations

from dataclasses import dataclass

from nextprobe.model.arrays import Bools
from nextprobe.plan.prices import Prices


@dataclass(frozen=True, slots=True)
class Question:
    """What is not open, measured (T,) and tried (R,), and what must be told first."""

    measured: Bools
    tried: Bools
    first: Prices
