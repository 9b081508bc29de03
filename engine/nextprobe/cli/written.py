"""A file that a command was asked to write."""

from __future__ import annotations

from pathlib import Path

from nextprobe.errors import UsageError


def write_file(path: str, text: str) -> None:
    """Write `text` as UTF-8; what UTF-8 cannot hold becomes a question mark. Raises UsageError that names the file."""
    try:
        Path(path).write_text(text, encoding="utf-8", errors="replace")
    except OSError as error:
        raise UsageError(f"{path!r} cannot be written: {error.strerror or error}.", "Name another file.") from None
    except ValueError:
        raise UsageError(f"No file can be called {path!r}.", "Name another.") from None
