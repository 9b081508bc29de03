"""Lower bounds of the expected cost of every policy, one file a method."""

from nextprobe.plan.bounds.identification import identification_bound
from nextprobe.plan.bounds.known_cause import known_cause_bound

__all__ = ["identification_bound", "known_cause_bound"]
