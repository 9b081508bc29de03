"""From a file's bytes to text that a YAML reader can take, or a finding that says why not."""

from __future__ import annotations

import re
from pathlib import Path

from nextprobe.errors import Finding
from nextprobe.pack.limits import MAX_BYTES

_UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def finding_at(code: str, message: str, cure: str, file: str, line: int = 1, column: int = 1) -> Finding:
    """An error at a place in a file."""
    return Finding(code, "error", message, cure, file, line, column)


def read_text(path: Path, shown: str) -> tuple[str | None, list[Finding]]:
    """The text of `path` (None where it is no text) and what there is to say about it."""
    try:
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except OSError as fault:
        reason = fault.strerror or type(fault).__name__
        return None, [
            finding_at(
                "NP101",
                f"This file cannot be read: {reason.lower()}.",
                "Check the path, and that you may read the file.",
                shown,
                0,
                0,
            )
        ]
    return decode(raw, shown)


def decode(raw: bytes, shown: str) -> tuple[str | None, list[Finding]]:
    """As read_text, from bytes."""
    if len(raw) > MAX_BYTES:
        return None, [
            finding_at(
                "NP102",
                f"This file is larger than {MAX_BYTES // 1_000_000} MB.",
                "Split it, and name the parts under `include`.",
                shown,
            )
        ]
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as fault:
        before = raw[: fault.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8", "replace")) + 1
        return None, [
            finding_at(
                "NP103",
                f"Byte 0x{raw[fault.start]:02X} is not UTF-8 text.",
                "Save the file as UTF-8; a ° or µ or Ω from another encoding looks like this.",
                shown,
                line,
                column,
            )
        ]
    return clean(text, shown)


def clean(text: str, shown: str) -> tuple[str | None, list[Finding]]:
    """`text` without byte-order mark, or None where it holds characters that YAML forbids."""
    found: list[Finding] = []
    if text.startswith("\ufeff"):
        text = text[1:]
        found.append(
            Finding(
                "NP104",
                "warning",
                "The file starts with a byte-order mark.",
                "Save it as UTF-8 without a byte-order mark; some tools take the mark for a part of the first key.",
                shown,
                1,
                1,
            )
        )
    odd = _UNPRINTABLE.search(text)
    if odd is None:
        return text, found
    before = text[: odd.start()]
    place = (before.count("\n") + 1, odd.start() - before.rfind("\n"))
    message = f"There is a control character (U+{ord(odd.group()):04X}) here."
    found.append(finding_at("NP103", message, "Delete it and type the place again.", shown, *place))
    return None, found
