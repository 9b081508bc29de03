"""The entry point: finds the command, loads it and nothing else, and turns every error into a clear message.

Exit codes: 0 good, 1 errors found, 2 usage or input that cannot be used, 70 a fault of nextprobe
itself (EX_SOFTWARE of BSD's sysexits), 130 interrupted and 141 the reader of our output went away
(128 + the signal's number, as shells report them).
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import NoReturn, Protocol, cast

from nextprobe.errors import NextprobeError, PackError, UsageError
from nextprobe.version import __version__

#: Errors of a pack that are listed where another command cannot use it.
MOST_LISTED = 8

COMMANDS: dict[str, tuple[str, str]] = {
    "walk": ("nextprobe.cli.walk", "be led through a job, check by check"),
    "validate": ("nextprobe.cli.validate", "say everything there is to say about a pack"),
    "jobs": ("nextprobe.cli.jobs", "list, show, verify, export and import recorded jobs"),
    "store": ("nextprobe.cli.store", "the whole store into one file, and back"),
    "meter": ("nextprobe.cli.meter", "list the bench meters that are plugged in, and try one"),
    "review": ("nextprobe.cli.review", "each step of a job beside what would have been asked"),
    "report": ("nextprobe.cli.report", "what a job's owner gets, to print and sign"),
    "learn": ("nextprobe.cli.learn", "what the recorded jobs say of a pack's numbers"),
    "rehearse": ("nextprobe.cli.rehearse", "practise on a simulated machine with a hidden fault"),
    "plan": ("nextprobe.cli.plan", "what a job is expected to cost, and which check is first"),
    "study": ("nextprobe.cli.study", "what a pack can and cannot find, and its own cases"),
    "draw": ("nextprobe.cli.draw", "draw which cause leads to which effect, on to the symptom"),
    "sources": ("nextprobe.cli.sources", "list every number of a pack, and where it comes from"),
    "format": ("nextprobe.cli.format", "lay a pack's files out in one way"),
    "new": ("nextprobe.cli.new", "write a new pack that walks, from five answers"),
    "export": ("nextprobe.cli.export", "write what a pack knows in an open format"),
    "explain": ("nextprobe.cli.explain", "explain the code of a finding"),
}
"""Command name: (module, one line of help). A module is imported only when its command is called."""

USAGE, FAULT, INTERRUPTED, READER_GONE = 2, 70, 130, 141


class Command(Protocol):
    """What the module of a command offers."""

    def configure(self, parser: argparse.ArgumentParser) -> None:
        """Add the command's own arguments."""

    def run(self, args: argparse.Namespace) -> int:
        """Do it; the exit code."""


class _Parser(argparse.ArgumentParser):
    """Speaks of a wrong command line the way nextprobe speaks of any wrong input."""

    def error(self, message: str) -> NoReturn:
        raise UsageError(f"{message[:1].upper()}{message[1:]}.", f"Try `{self.prog} --help`.")


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line (default: the process's own) and return its exit code."""
    # Loading modules and packs makes objects by the ten thousand and hardly any garbage: a seventh of a start is saved.
    gc.set_threshold(100_000, 20, 20)
    for stream in (sys.stdout, sys.stderr):
        # A terminal that cannot show an Ω shows a question mark; it does not end the walk.
        if callable(reconfigure := getattr(stream, "reconfigure", None)):
            reconfigure(errors="replace")
    try:
        code = _guarded(list(sys.argv[1:] if argv is None else argv))
        if sys.stdout is not None:
            sys.stdout.flush()
    except BrokenPipeError:
        # What is left in the buffer must go somewhere, or the interpreter complains while it closes.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return READER_GONE
    return code


def has_terminal() -> bool:
    """Whether a person sits at a terminal that can draw screens."""
    # A process that was started without standard streams has None there.
    seated = all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))
    return seated and os.environ.get("TERM") != "dumb"


def _guarded(argv: list[str]) -> int:
    """Run the command line; whatever goes wrong becomes a message and an exit code."""
    try:
        return _dispatch(argv)
    except SystemExit as left:  # argparse leaves this way after --help and --version
        return left.code if isinstance(left.code, int) else 0
    except NextprobeError as error:
        _report(error)
        return USAGE
    except KeyboardInterrupt:
        print("\nnextprobe: interrupted.", file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:
        raise
    except Exception as error:
        if os.environ.get("NEXTPROBE_DEBUG"):
            import traceback

            traceback.print_exc()
        text = " ".join(str(error).split())
        print(
            f"nextprobe: internal fault: {type(error).__name__}: {text}. Nothing recorded is lost. Please report it.",
            file=sys.stderr,
        )
        return FAULT


def _dispatch(argv: list[str]) -> int:
    name = _command_in(argv)
    if name is not None and name not in COMMANDS:
        raise UsageError(f"There is no command {name!r}.", _instead(name))
    command = cast(Command, import_module(COMMANDS[name][0])) if name else None
    args = _parser(name, command).parse_args(argv)
    if command is not None:
        return command.run(args)
    if not has_terminal():
        _parser(None, None).print_help()
        return 0
    from nextprobe.cli.screens import open_screens

    return open_screens(args.meter)


def _command_in(argv: Sequence[str]) -> str | None:
    """The first word without a dash; of the options before a command only ``--meter`` takes a value."""
    words = iter(argv)
    for word in words:
        if word == "--meter":
            next(words, None)
        elif not word.startswith("-"):
            return word
    return None


def _parser(name: str | None, command: Command | None) -> argparse.ArgumentParser:
    """The parser of the whole command line, in which only the called command has its arguments."""
    parser = _Parser(
        prog="nextprobe",
        description="Which check next: guided fault isolation at the bench. Without a command, the bench screens open.",
        epilog="`nextprobe COMMAND --help` tells more of a command.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"nextprobe {__version__}")
    parser.add_argument("--meter", metavar="RESOURCE", help="the bench meter that gives readings on the screens")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    for known, (_, line) in COMMANDS.items():
        sub = commands.add_parser(known, help=line, description=f"{line[:1].upper()}{line[1:]}.", allow_abbrev=False)
        if known == name and command is not None:
            command.configure(sub)
    return parser


def _instead(name: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(name, COMMANDS, n=1)
    known = f"Commands: {', '.join(COMMANDS)}."
    return f"Did you mean `{near[0]}`? {known}" if near else known


def _report(error: NextprobeError) -> None:
    lines = [f"nextprobe: {error.message}"]
    if isinstance(error, PackError):
        errors = [f"  {finding}" for finding in error.findings if finding.severity == "error"]
        lines += errors[:MOST_LISTED]
        if len(errors) > MOST_LISTED:
            lines.append(f"  and {len(errors) - MOST_LISTED} more; `nextprobe validate` lists them all.")
    if error.cure:
        lines.append(f"  {error.cure}")
    print("\n".join(lines), file=sys.stderr)
