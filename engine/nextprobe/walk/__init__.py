"""One guided run through a pack on one machine: ask, tell, until an ending."""

from nextprobe.walk.ask import Ask, Candidate, Choice, Ending, Lead, MoveStep, Step, Taken
from nextprobe.walk.walk import Walk

__all__ = ["Ask", "Candidate", "Choice", "Ending", "Lead", "MoveStep", "Step", "Taken", "Walk"]
