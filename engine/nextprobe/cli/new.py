"""``nextprobe new DIR``: five questions, and a pack that walks."""

from __future__ import annotations

import argparse
import sys
import textwrap
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from nextprobe.errors import PackError, UsageError

if TYPE_CHECKING:
    from nextprobe.write.new import NewPack
    from nextprobe.write.questions import Question

INTERRUPTED = 130
EPILOG = (
    "Where input is not a terminal, the same lines are read from it: an empty line ends a list. An answers file is a "
    "YAML map with the keys machine, symptom, causes, measurements and repairs; the last three are lists of lines. "
    "What is left out takes an example that is to be replaced. Nothing is ever overwritten."
)

Lines = dict[str, tuple[str, ...]]


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.epilog = EPILOG
    parser.add_argument("dir", metavar="DIR", help="the folder to make; its name becomes the pack's id")
    parser.add_argument("--answers", metavar="FILE", help="take the answers from a file instead of asking")


def run(args: argparse.Namespace) -> int:
    """Ask, write, and say what to do next."""
    from nextprobe.write.folder import check_free
    from nextprobe.write.new import new_pack

    folder = Path(args.dir)
    check_free(folder)  # refused before anybody has answered anything
    try:
        if args.answers:
            lines = _from_file(Path(args.answers))
        elif sys.stdin is not None and sys.stdin.isatty():
            lines = _asked()
        else:
            lines = _piped()
        made = new_pack(folder, lines, date.today())
    except KeyboardInterrupt:
        print("\nnextprobe: interrupted. Nothing was written.", file=sys.stderr)
        return INTERRUPTED
    _say(args.dir, made)
    return 0


def _say(shown: str, made: NewPack) -> None:
    entries = made.entries
    sizes = {"cause": len(entries.causes), "measurement": len(entries.measurements) + 1, "repair": len(entries.repairs)}
    counts = ", ".join(f"{size} {kind}{'s' * (size != 1)}" for kind, size in sizes.items())
    print(f"Written: {shown} ({', '.join(made.files)}): {counts}.")
    if made.answers.unweighed:
        named = "; ".join(made.answers.unweighed)
        print(
            f"Without a share, so 1 beside the others: {named}. Write `weight` in pack.yaml, or each as in `worn; 25`."
        )
    if entries.guessed:
        print(f"Guessed, because nobody named one: {len(entries.guessed)} of the repairs.")
    if entries.unseen:
        print(f"Seen at the first look alone, because no measurement names them: {', '.join(entries.unseen)}.")
    # A bare word may be the id of a bundled pack.
    ref = shown if any(sign in shown for sign in "/\\") else f"./{shown}"
    print(f"Next: nextprobe walk {ref}; nextprobe validate --watch {ref}; {shown}/README.md says what to fill in.")


def _asked() -> Lines:
    """Ask at the terminal; a line that cannot be read is asked again."""
    from nextprobe.write.questions import QUESTIONS

    print("Five questions. Enter alone takes the example or ends a list; Ctrl-C leaves, and nothing is written.")
    lines: Lines = {}
    for number, question in enumerate(QUESTIONS, 1):
        print("\n" + textwrap.fill(f"{number} of {len(QUESTIONS)}. {question.ask}", 79, subsequent_indent="   "))
        print(f"   as in: {question.like}")
        if question.key in ("measurements", "repairs"):
            for place, title in enumerate(_titles(lines), 1):
                print(f"   {place}  {title}")
        lines[question.key] = tuple(_answers(question, lines))
    return lines


def _answers(question: Question, before: Lines) -> Iterator[str]:
    said: list[str] = []
    while True:
        try:
            line = input(f"{len(said) + 1}> " if question.many else "> ")
        except EOFError:
            print()
            return
        if not line.strip():
            return
        try:
            _check({**before, question.key: (*said, line)})
        except UsageError as error:
            print(f"   {error.message} {error.cure}")
            continue
        said.append(line)
        yield line
        if not question.many:
            return


def _check(lines: Lines) -> None:
    from nextprobe.write.read import read_answers

    read_answers(lines)


def _titles(lines: Lines) -> list[str]:
    from nextprobe.write.read import read_answers

    return [one.title for one in read_answers(lines).causes]


def _piped() -> Lines:
    """The lines of standard input: one for each single answer, a list up to an empty line or the end."""
    from nextprobe.write.questions import QUESTIONS

    source = iter(sys.stdin.read().splitlines()) if sys.stdin is not None else iter(())
    lines: Lines = {}
    for question in QUESTIONS:
        lines[question.key] = tuple(_until_empty(source)) if question.many else (next(source, ""),)
    left = next((line for line in source if line.strip()), None)
    if left is not None:
        raise UsageError(
            f"The line {left[:60]!r} answers no question.", "There are five; an empty line ends each list."
        )
    return lines


def _until_empty(source: Iterator[str]) -> Iterator[str]:
    for line in source:
        if not line.strip():
            return
        yield line


def _from_file(path: Path) -> Lines:
    from nextprobe.pack.source import read_yaml
    from nextprobe.resources import is_file
    from nextprobe.write.questions import QUESTIONS

    if not is_file(path):
        raise UsageError(f"There is no answers file {str(path)!r}.", "Give the path of a YAML map.")
    source = read_yaml(path)
    if any(one.severity == "error" for one in source.findings):
        raise PackError(
            f"The answers file {path.name!r} cannot be used.", source.findings, "Mend what is named, then try again."
        )
    data = {} if source.data is None else source.data
    keys = [question.key for question in QUESTIONS]
    if not isinstance(data, dict):
        raise UsageError(f"{path.name} is not a map.", f"Its keys are {', '.join(keys)}.")
    unknown = next((key for key in data if key not in keys), None)
    if unknown is not None:
        raise UsageError(f"{path.name}: there is no question {unknown!r}.", f"Its keys are {', '.join(keys)}.")
    return {key: _lines_of(path.name, key, value) for key, value in data.items()}


def _lines_of(name: str, key: str, value: object) -> tuple[str, ...]:
    if value is None:
        return ()
    if isinstance(value, list) and all(isinstance(one, str | int | float) for one in value):
        return tuple(str(one) for one in value)
    if isinstance(value, str | int | float):
        return tuple(str(value).splitlines())
    raise UsageError(f"{name}: `{key}` is neither text nor a list of lines.", "Write each line as text in quotes.")
