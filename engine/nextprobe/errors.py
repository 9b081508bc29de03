"""One tree of typed errors, and the finding: one thing there is to say about a pack.

Every error carries a sentence that says what is wrong and, in ``cure``, what to do about it; a
command prints both and nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to say about a pack, a board sheet, a case file, a shop or an answer file.

    ``line`` and ``column`` count from 1; 0 means that no place is known. ``path`` is the place in
    the data, as ``causes.module_seating.weight``.
    """

    code: str
    severity: str
    message: str
    help: str
    file: str = ""
    line: int = 0
    column: int = 0
    path: str = ""

    def as_dict(self) -> dict[str, Any]:
        """The finding as plain data, in the order in which it is printed."""
        return asdict(self)

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}: " if self.file else ""
        return f"{place}{self.severity} {self.code}: {self.message} {self.help}".rstrip()


class NextprobeError(Exception):
    """Anything that nextprobe refuses, with a sentence for the person and what to do about it."""

    def __init__(self, message: str, cure: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.cure = cure

    def __str__(self) -> str:
        return f"{self.message} {self.cure}".strip()


class PackError(NextprobeError):
    """A pack, board sheet or case file cannot be used; ``findings`` holds all that was found."""

    def __init__(self, message: str, findings: Sequence[Finding] = (), cure: str = "") -> None:
        super().__init__(message, cure)
        self.findings = tuple(findings)

    def __str__(self) -> str:
        errors = [str(finding) for finding in self.findings if finding.severity == "error"]
        return "\n".join([super().__str__(), *errors])


class QuantityError(NextprobeError, ValueError):
    """A quantity, range or accuracy that cannot be read."""


class ToldError(NextprobeError, ValueError):
    """What was told cannot be taken; the walk is unchanged."""


class UnreadableError(ToldError):
    """It is neither an outcome nor a figure of the right kind."""


class NotAllowedError(ToldError):
    """It can be read, but not here and now."""


class AmbiguousError(ToldError):
    """It fits more than one outcome; ``choices`` names them."""

    def __init__(self, message: str, choices: Sequence[str], cure: str = "") -> None:
        super().__init__(message, cure)
        self.choices = tuple(choices)


class SituationError(NextprobeError, ValueError):
    """A symptom, option, instrument, limit or bench state that this pack does not have."""


class ModelError(NextprobeError, ValueError):
    """Arrays that make no model; the message names the entry."""


class StoreError(NextprobeError):
    """The store cannot be opened, read or written."""


class UsageError(NextprobeError):
    """A command line, answers file or shop file that cannot be used."""
