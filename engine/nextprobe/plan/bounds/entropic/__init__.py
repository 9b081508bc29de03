"""The entropic bound: see bound.py for the proof."""

from nextprobe.plan.bounds.entropic.bound import EntropicBound
from nextprobe.plan.bounds.entropic.rates import Rates, Usage

__all__ = ["EntropicBound", "Rates", "Usage"]
