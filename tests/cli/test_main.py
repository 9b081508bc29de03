"""The entry point: its exit codes are those that the module's docstring and its sources state."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from collections.abc import Callable
from importlib import import_module
from types import ModuleType

import pytest

from nextprobe.cli import main as entry
from nextprobe.errors import Finding, PackError, UsageError
from nextprobe.version import __version__


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch) -> Callable[[Callable[[argparse.Namespace], int]], None]:
    """Makes the given function the body of a command `probe` with an argument `--depth`."""

    def install(body: Callable[[argparse.Namespace], int]) -> None:
        def configure(parser: argparse.ArgumentParser) -> None:
            parser.add_argument("--depth", type=int, default=0)

        module = ModuleType("probe_command")
        vars(module).update(configure=configure, run=body)
        monkeypatch.setitem(sys.modules, "probe_command", module)
        monkeypatch.setitem(entry.COMMANDS, "probe", ("probe_command", "probe something"))

    return install


def raising(error: BaseException) -> Callable[[argparse.Namespace], int]:
    def body(args: argparse.Namespace) -> int:
        raise error

    return body


@pytest.mark.parametrize("name", entry.COMMANDS)
def test_every_command_in_the_table_is_there(name: str) -> None:
    module = import_module(entry.COMMANDS[name][0])
    module.configure(argparse.ArgumentParser())
    assert callable(module.run)


@pytest.mark.parametrize("name", entry.COMMANDS)
def test_every_command_has_help(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert entry.main([name, "--help"]) == 0
    assert f"usage: nextprobe {name}" in capsys.readouterr().out


def test_help_lists_every_command_with_its_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert entry.main(["--help"]) == 0
    out = capsys.readouterr().out
    for name, (_, line) in entry.COMMANDS.items():
        assert name in out
        assert line in out


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert entry.main(["--version"]) == 0
    assert capsys.readouterr().out == f"nextprobe {__version__}\n"


@pytest.mark.parametrize("code", [0, 1, 2])
def test_a_command_decides_its_exit_code(code: int, command: Callable[..., None]) -> None:
    command(lambda args: code + args.depth)
    assert entry.main(["probe", "--depth", "0"]) == code


def test_a_near_miss_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert entry.main(["wlak"]) == 2
    err = capsys.readouterr().err
    assert "nextprobe: There is no command 'wlak'." in err
    assert "Did you mean `walk`?" in err


def test_a_word_that_is_near_nothing_lists_the_commands(capsys: pytest.CaptureFixture[str]) -> None:
    assert entry.main(["zzz"]) == 2
    assert "Commands: walk, validate" in capsys.readouterr().err


def test_a_wrong_argument_is_one_message_and_where_to_look(
    command: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    command(lambda args: 0)
    assert entry.main(["probe", "--depth", "deep"]) == 2
    assert capsys.readouterr().err == (
        "nextprobe: Argument --depth: invalid int value: 'deep'.\n  Try `nextprobe probe --help`.\n"
    )


def test_a_refusal_is_its_sentence_and_its_cure(
    command: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    command(raising(UsageError("There is no pack 'x'.", "Give a path.")))
    assert entry.main(["probe"]) == 2
    assert capsys.readouterr() == ("", "nextprobe: There is no pack 'x'.\n  Give a path.\n")


def test_a_pack_that_cannot_be_used_shows_its_errors_only(
    command: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    bad = Finding("NP999", "error", "No cause 'a'.", "Name one.", "pack.yaml", 3, 5)
    doubtful = Finding("NP998", "warning", "Unused.", "Remove it.", "pack.yaml", 4, 5)
    command(raising(PackError("The pack has 1 error.", [bad, doubtful], "Mend it.")))
    assert entry.main(["probe"]) == 2
    assert capsys.readouterr().err == (
        "nextprobe: The pack has 1 error.\n  pack.yaml:3:5: error NP999: No cause 'a'. Name one.\n  Mend it.\n"
    )


def test_an_interrupt_is_one_line(command: Callable[..., None], capsys: pytest.CaptureFixture[str]) -> None:
    command(raising(KeyboardInterrupt()))
    assert entry.main(["probe"]) == 130
    assert capsys.readouterr().err.strip() == "nextprobe: interrupted."


def test_a_fault_of_ours_is_one_line_without_a_traceback(
    command: Callable[..., None], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("NEXTPROBE_DEBUG", raising=False)
    command(raising(ZeroDivisionError("by\nzero")))
    assert entry.main(["probe"]) == 70
    assert capsys.readouterr().err == (
        "nextprobe: internal fault: ZeroDivisionError: by zero. Nothing recorded is lost. Please report it.\n"
    )


def test_the_debug_switch_shows_the_traceback(
    command: Callable[..., None], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NEXTPROBE_DEBUG", "1")
    command(raising(ZeroDivisionError("by zero")))
    assert entry.main(["probe"]) == 70
    assert "Traceback" in capsys.readouterr().err


def run_module(*args: str, **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "nextprobe", *args],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, **env},
        check=False,
    )


@pytest.mark.parametrize("term", ["dumb", "xterm-256color"])
def test_without_a_terminal_the_bare_command_prints_the_help(term: str) -> None:
    done = run_module(TERM=term)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("usage: nextprobe")


@pytest.mark.parametrize(
    ("seated", "term", "screens"), [(True, "xterm", True), (True, "dumb", False), (False, "xterm", False)]
)
def test_screens_open_only_on_a_terminal_that_can_draw(
    seated: bool, term: str, screens: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    opened: list[bool] = []

    def open_screens(meter: str | None = None) -> int:
        opened.append(True)
        return 0

    monkeypatch.setenv("TERM", term)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: seated, raising=False)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: seated, raising=False)
    monkeypatch.setattr("nextprobe.cli.screens.open_screens", open_screens)
    assert entry.main([]) == 0
    assert bool(opened) is screens
    assert ("usage:" in capsys.readouterr().out) is not screens


def test_missing_standard_streams_are_no_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    assert not entry.has_terminal()


SAY_OHM = """
import sys, types
from nextprobe.cli import main as entry

def run(args):
    print("4.7 kΩ")
    return 0

sys.modules["say_ohm"] = types.SimpleNamespace(configure=lambda parser: None, run=run)
entry.COMMANDS["say"] = ("say_ohm", "say it")
sys.exit(entry.main(["say"]))
"""


def test_a_reader_that_goes_away_is_no_fault() -> None:
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run([sys.executable, "-c", SAY_OHM], stdout=write, stderr=subprocess.PIPE, check=False)
    os.close(write)
    # 128 + 13, the number of SIGPIPE in POSIX
    assert (done.returncode, done.stderr) == (141, b"")


def test_a_character_that_the_terminal_lacks_ends_nothing() -> None:
    env = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = subprocess.run([sys.executable, "-c", SAY_OHM], capture_output=True, env=env, check=False)
    assert (done.returncode, done.stdout.strip()) == (0, b"4.7 k?")
