"""What a YAML reader's complaint means to a person who edits a pack."""

from __future__ import annotations

from typing import Any, Final

from nextprobe.errors import Finding

#: A part of the reader's words -> our code, what is wrong, what to do.
_WORDS: Final = (
    (
        "mapping values are not allowed",
        "NP106",
        "A second colon stands in this line.",
        "Put text that holds `: ` into quotes, or start the inner keys on a line of their own.",
    ),
    ("found unexpected end of stream", "NP106", "A quote is opened and never closed.", "Close it."),
    (
        "expected ',' or ']'",
        "NP106",
        "The list that starts here is not closed where it should be.",
        "Close it with `]`, and put items that hold `: ` or brackets into quotes.",
    ),
    (
        "expected ',' or '}'",
        "NP106",
        "The mapping that starts here is not closed where it should be.",
        "Close it with `}`, separate its entries with commas, and put text with `: ` or brackets into quotes.",
    ),
    (
        "did not find expected key",
        "NP106",
        "This line does not fit the block around it.",
        "Start it in the same column as the keys beside it.",
    ),
    (
        "did not find expected '-' indicator",
        "NP106",
        "This line does not fit the list around it.",
        "Start it with `- ` in the column of the other items, or take it out of the list.",
    ),
    (
        "could not find expected ':'",
        "NP106",
        "This line has no `: ` after its key.",
        "Write `key: value`, with a space after the colon.",
    ),
    (
        "block sequence entries are not allowed",
        "NP106",
        "A list item cannot start here.",
        "Put the first `-` on a line of its own, below the key.",
    ),
    (
        "found unknown escape",
        "NP106",
        "A backslash in double quotes starts an escape that YAML does not know.",
        "Use single quotes, or write the backslash twice.",
    ),
    ("cannot start any token", "NP106", "A word cannot start with this character.", "Put the text into quotes."),
)
#: Complaints whose useful place is where the thing was opened, not where the reader gave up.
_AT_START: Final = ("found unexpected end of stream", "',' or ']'", "',' or '}'", "could not find expected ':'")


def flow_fault(fault: Any) -> bool:
    """Whether the fault lies inside brackets, where the C reader is stricter than YAML 1.2."""
    problem = str(getattr(fault, "problem", "") or "")
    return "',' or '" in problem or "unexpected ':'" in problem


def explain_syntax(fault: Any, file: str, text: str) -> Finding:
    """The finding for a YAML error of the reader, at the place a person should look at."""
    problem = str(getattr(fault, "problem", "") or "")
    mark = getattr(fault, "problem_mark", None)
    opened = getattr(fault, "context_mark", None)
    if opened is not None and any(part in problem for part in _AT_START):
        mark = opened
    line, column = (mark.line, mark.column) if mark is not None else (0, 0)
    lines = text.splitlines()
    before = lines[line][:column] if line < len(lines) else ""
    here = lines[line][column : column + 1] if line < len(lines) else ""
    if "\t" in before or here == "\t":
        place = lines[line].index("\t")
        return Finding(
            "NP115",
            "error",
            "A tab stands where YAML wants spaces.",
            "Indent with spaces only; set the editor to do so.",
            file,
            line + 1,
            place + 1,
        )
    for part, code, message, cure in _WORDS:
        if part in problem:
            if part.startswith("mapping values") and _too_deep(lines, line, column):
                message = "This line is indented deeper than the key above it, which has its value already."
                cure = "Start it in the same column as the keys beside it."
            if "cannot start" in part and here:
                message = f"A word cannot start with `{here}`."
            return Finding(code, "error", message, cure, file, line + 1, column + 1)
    reason = problem or (str(fault).splitlines() or ["it cannot be read"])[0]
    return Finding(
        "NP106",
        "error",
        f"This is no YAML: {reason}.",
        "Compare the line with those around it: indent, colon, quotes and brackets.",
        file,
        line + 1,
        column + 1,
    )


def _too_deep(lines: list[str], line: int, column: int) -> bool:
    """Whether the colon at `column` is the line's first, and the line is deeper than a ``key: value`` above it."""
    if line >= len(lines) or ": " in lines[line][:column]:
        return False
    above = next((one for one in reversed(lines[:line]) if one.strip() and not one.lstrip().startswith("#")), "")
    return ": " in above and _indent(lines[line]) > _indent(above)


def _indent(text: str) -> int:
    return len(text) - len(text.lstrip(" "))
