"""A pack's own cases: every id, value and figure in them must be the pack's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path as FilePath
from typing import Any

from nextprobe.errors import Finding, UsageError
from nextprobe.pack.check_told import check_told, unknown
from nextprobe.pack.checked import place
from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Path, Source
from nextprobe.pack.near import did_you_mean
from nextprobe.pack.refs import TELLABLE
from nextprobe.pack.walkers import Word, choices, words
from nextprobe.resources import bundled_boards, find_board, is_file


def check_cases(source: Source, data: Any, ctx: Context) -> Iterator[Finding]:
    """Findings on the meaning of a case file, given its pack."""
    names: dict[str, int] = {}
    for index, case in enumerate(data if isinstance(data, list) else ()):
        if not isinstance(case, Mapping):
            continue
        name = case.get("name")
        if isinstance(name, str):
            if name in names:
                first = source.mark((names[name], "name")).line
                note = Note(
                    (index, "name"), f"Two cases are called {name!r}; the first is in line {first}.", "Rename one."
                )
                yield place(source, "NP403", "warning", note)
            names.setdefault(name, index)
        yield from _situation(source, case, (index,), ctx)
        yield from check_told(source, case.get("told"), (index, "told"), [ctx], answers=False)
        yield from check_told(source, case.get("answers"), (index, "answers"), [ctx], answers=True)
        for number, item in enumerate(case.get("expect") or ()):
            if isinstance(item, Mapping):
                yield from _expect(source, item, (index, "expect", number), ctx)


def _situation(source: Source, case: Mapping[str, Any], path: Path, ctx: Context) -> Iterator[Finding]:
    for word in words(case.get("symptom"), (*path, "symptom")):
        yield from unknown(source, word.path, word.text, [ctx], ("symptom",), of_key=False)
    for word in words(case.get("lacks"), (*path, "lacks")):
        yield from unknown(source, word.path, word.text, [ctx], ("instrument", "skill"), of_key=False)
    yield from check_options(source, case.get("options"), (*path, "options"), [ctx])
    for choice in choices(case.get("bench"), (*path, "bench")):
        yield from unknown(source, choice.name.path, choice.name.text, [ctx], ("condition",))
        known = ctx.condition_values.get(choice.name.text)
        if known is not None:
            yield from _values(source, f"The condition `{choice.name.text}`", choice.values, known)
    board = case.get("board")
    if isinstance(board, str) and not _board_exists(source, board):
        note = Note((*path, "board"), f"There is no board sheet `{board}`.", did_you_mean(board, bundled_boards()))
        yield place(source, "NP301", "error", note)


def _board_exists(source: Source, board: str) -> bool:
    """Whether the sheet is bundled, or a file beside the cases or in the working folder."""
    home = FilePath(next(iter(source.paths.values()), "")).parent
    try:
        find_board(board)
    except UsageError:
        return is_file(home / board) or is_file(home.parent / "boards" / f"{board}.yaml")
    return True


def check_options(source: Source, options: Any, path: Path, packs: list[Context]) -> Iterator[Finding]:
    """Findings on a map from option to value, for packs that share it."""
    for choice in choices(options, path):
        yield from unknown(source, choice.name.path, choice.name.text, packs, ("option",))
        known = next(
            (ctx.option_values[choice.name.text] for ctx in packs if choice.name.text in ctx.option_values), None
        )
        if known is not None:
            yield from _values(source, f"The option `{choice.name.text}`", choice.values, known)


def _values(source: Source, what: str, found: tuple[Word, ...], known: list[str]) -> Iterator[Finding]:
    for word in found:
        if word.text not in known:
            note = Note(word.path, f"{what} has no value `{word.text}`.", did_you_mean(word.text, known))
            yield place(source, "NP305", "error", note)


def _expect(source: Source, item: Mapping[str, Any], path: Path, ctx: Context) -> Iterator[Finding]:
    for key in ("first", "cause"):
        for word in words(item.get(key), (*path, key)):
            yield from unknown(source, word.path, word.text, [ctx], ("cause",), of_key=False, also=("unlisted",))
    for word in words(item.get("asked"), (*path, "asked")):
        yield from unknown(source, word.path, word.text, [ctx], TELLABLE, of_key=False, also=("seen",))
