"""Jobs in words for a list: which machine, what it does, how far it is, how long ago that was."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from textual.content import Content

from nextprobe_tui.words import ENDINGS


@dataclass(frozen=True)
class JobRow:
    """A job as it is listed. machine: "" where there is no sheet. at: of its last event, ISO 8601 in UTC."""

    id: str
    machine: str
    symptom: str
    at: str
    steps: int = 0
    ending: str = ""

    @property
    def what(self) -> str:
        """The machine and what it does."""
        return f"{self.machine}: {self.symptom}" if self.machine else self.symptom

    def known(self, now: datetime) -> str:
        """How far it is and since when."""
        if self.ending:
            return f"{ENDINGS.get(self.ending, self.ending).lower()}, {ago(self.at, now)}, {self.id}"
        count = "nothing told yet" if self.steps < 1 else f"{self.steps} step{'s' * (self.steps > 1)}"
        return f"{count}, {ago(self.at, now)}, {self.id}"

    def prompt(self, now: datetime) -> Content:
        """For a row of a list."""
        return Content.assemble("  ", self.what, "\n  ", (f"  {self.known(now)}", "$gutter"))


def ago(at: str, now: datetime) -> str:
    """How long ago `at` (ISO 8601 in UTC) was, as one says it; the text itself where it is no time."""
    try:
        then = datetime.fromisoformat(at)
    except ValueError:
        return at
    then = then if then.tzinfo else then.replace(tzinfo=UTC)
    minutes = int((now - then).total_seconds() // 60)
    if minutes < 1:
        return "just now"
    if minutes < 60:
        return f"{minutes} min ago"
    hours = minutes // 60
    if hours < 24:
        return f"{hours} h ago"
    days = hours // 24
    if days < 60:
        return f"{days} day{'s' * (days > 1)} ago"
    return f"on {then:%Y-%m-%d}"
