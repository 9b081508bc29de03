"""``nextprobe new``: whatever is answered, the pack is valid, walks, and is there whole or not at all."""

from __future__ import annotations

import io
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from nextprobe import Walk, load_pack
from nextprobe.cli.main import main
from nextprobe.pack.cache import validate_source
from nextprobe.resources import schemas_dir
from nextprobe.study.cases import run_cases
from nextprobe.walk.play import play

PUMP = """cellar pump
the pump does not start
float stuck; 40
fuse blown; 15
capacitor dead; 20

lift the float by hand; 2; 1
volts at the socket; 3; 2

free the float; 10; 0; 1
renew the fuse; 5; 2.5; 2
renew the capacitor; 20; 12; 3
quote; 10; 260
"""

ODD = {
    "the pump": PUMP,
    "nothing at all": "",
    "one cause": "\n\nworn; 5\n\n\n\n",
    "quotes": 'a "b" \'c\'\n{it} [is] & * ! | > %\n"x": y; 2\n\'; 3\n\n\n\n',
    "other scripts": "насос\n動かない\nпоплавок; 3\n水\n😀; 2\n\n見る; 1; 1\n\n",
    "words that YAML takes": "yes\nno\nyes\nno; 2\n~; 3\nnull\n: #\n- a\n? b\n\n",
    "300 signs": f"{'m' * 300}\n{'s' * 300}\n{'long ' * 60}; 2\n{'long ' * 60}x; 3\n\n{'l' * 300}; 1; 2\n\n",
    "shares and commas": "p\ns\na: 40 %\nb; 12,5\nc 0,5 %\n\n",
    "carriage returns": PUMP.replace("\n", "\r\n"),
    "control signs": "p\x00\x07\ns\x1b[31m\na\x85b; 2\n\n",
    "the same words everywhere": "seen\nseen\nseen; 2\nmachine; 1\n\nseen; 1; 1\nseen it; 1; 1,2\n\nseen; 1; 0; 1\n",
    "many causes": "p\ns\n" + "".join(f"cause number {n}; {n + 1}\n" for n in range(60)) + "\n",
}


def new(folder: Path, monkeypatch: pytest.MonkeyPatch, text: str, *arguments: str) -> int:
    monkeypatch.setattr(sys, "stdin", io.StringIO(text))
    return main(["new", str(folder), *arguments])


@pytest.mark.parametrize("text", ODD.values(), ids=ODD)
def test_the_pack_is_valid_and_walks(text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "begun"
    assert new(folder, monkeypatch, text) == 0
    assert sorted(path.name for path in folder.iterdir()) == ["README.md", "cases.yaml", "pack.yaml", "schemas"]
    assert [path.name for path in tmp_path.iterdir()] == ["begun"]
    for name in ("pack.yaml", "cases.yaml"):
        assert [str(one) for one in validate_source(folder / name).findings] == []
    assert [one.name for one in run_cases(str(folder)) if not one.passed] == []
    pack = load_pack(str(folder))
    commonest = max(pack.causes.values(), key=lambda cause: cause.weight).id
    walk = Walk(pack)
    play(walk, {"first_look": "safe_to_go_on", "cause": commonest})
    assert walk.ending is not None
    assert walk.ending.what in ("repaired", "referred")


def test_the_pump_is_repaired(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert new(tmp_path / "pump", monkeypatch, PUMP) == 0
    pack = load_pack(str(tmp_path / "pump"))
    assert pack.title == "Cellar pump: The pump does not start"
    walk = Walk(pack)
    play(walk, {"first_look": "safe_to_go_on", "lift_float_by_hand": "at_fault", "cause": "float_stuck"})
    assert walk.ending is not None
    assert (walk.ending.what, walk.ending.cause) == ("repaired", "float_stuck")


def test_the_look_comes_before_it_is_started(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert new(tmp_path / "pump", monkeypatch, PUMP) == 0
    walk = Walk(load_pack(str(tmp_path / "pump")))
    assert walk.ask().id == "first_look"
    walk.tell("first_look", "unsafe")
    assert walk.ask().kind == "done"
    assert walk.ending is not None
    assert walk.ending.what == "stopped"


def test_an_editor_finds_the_schema_on_every_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The comment is that of the common YAML language server: ``# yaml-language-server: $schema=<address>``."""
    assert new(tmp_path / "pump", monkeypatch, PUMP) == 0
    (tmp_path / "pump").rename(tmp_path / "handed-on")
    for name in ("pack", "cases"):
        folder = tmp_path / "handed-on"
        first = (folder / f"{name}.yaml").read_text(encoding="utf-8").splitlines()[0]
        address = first.removeprefix("# yaml-language-server: $schema=")
        assert (folder / address).read_bytes() == (schemas_dir() / f"{name}.schema.json").read_bytes()
    for path in (tmp_path / "handed-on").rglob("*"):
        assert path.is_dir() or str(tmp_path) not in path.read_text(encoding="utf-8")
        assert path.is_dir() or str(schemas_dir().parent) not in path.read_text(encoding="utf-8")


def test_within_the_checkout_its_own_schema_serves(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    home = tmp_path / "home"
    shutil.copytree(schemas_dir(), home / "schemas")
    (home / "packs").mkdir()
    monkeypatch.setattr("nextprobe.write.new.schemas_dir", lambda: home / "schemas")
    assert new(home / "packs" / "pump", monkeypatch, PUMP) == 0
    first = (home / "packs" / "pump" / "pack.yaml").read_text(encoding="utf-8").splitlines()[0]
    assert first == "# yaml-language-server: $schema=../../schemas/pack.schema.json"
    assert not (home / "packs" / "pump" / "schemas").exists()
    assert "schemas" not in (home / "packs" / "pump" / "README.md").read_text(encoding="utf-8")


def test_a_cause_without_a_share_beside_others_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert new(tmp_path / "pump", monkeypatch, "pump\ndead\nworn 25\nloose; 40\n\n") == 0
    assert "Without a share, so 1 beside the others: Worn 25." in capsys.readouterr().out
    assert new(tmp_path / "other", monkeypatch, "pump\ndead\nworn\nloose\n\n") == 0
    assert "Without a share" not in capsys.readouterr().out


@pytest.mark.parametrize("kind", ["file", "full folder", "link to nowhere"])
def test_nothing_is_overwritten(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    place = tmp_path / "there"
    if kind == "file":
        place.write_text("mine", encoding="utf-8")
    elif kind == "full folder":
        place.mkdir()
        (place / "mine").write_text("mine", encoding="utf-8")
    elif os.name == "nt":
        place.mkdir()
        (place / "mine").touch()
    else:
        place.symlink_to(tmp_path / "nowhere")
    before = sorted(str(path) for path in tmp_path.rglob("*"))
    assert new(place, monkeypatch, PUMP) == 2
    assert "nothing is overwritten" in capsys.readouterr().err
    assert sorted(str(path) for path in tmp_path.rglob("*")) == before


def test_an_empty_folder_is_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "pump").mkdir()
    assert new(tmp_path / "pump", monkeypatch, PUMP) == 0
    assert (tmp_path / "pump" / "pack.yaml").is_file()


@pytest.mark.parametrize("name", ["no/folder/here", "a\0b", "x" * 300])
def test_a_place_that_cannot_be(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert new(tmp_path / name, monkeypatch, PUMP) == 2
    assert capsys.readouterr().err.startswith("nextprobe: ")
    assert list(tmp_path.iterdir()) == []


def test_a_killed_write_leaves_no_pack(tmp_path: Path) -> None:
    """Killed after everything is written and before the one step that puts it in its place."""
    script = (
        "import os, pathlib, signal, sys\n"
        "end = getattr(signal, 'SIGKILL', signal.SIGTERM)\n"
        "pathlib.Path.rename = lambda *_: os.kill(os.getpid(), end)\n"
        "from nextprobe.cli.main import main\n"
        "main(['new', sys.argv[1]])\n"
    )
    done = subprocess.run([sys.executable, "-c", script, str(tmp_path / "pump")], input=PUMP, text=True, check=False)
    assert done.returncode != 0
    assert not (tmp_path / "pump").exists()


def test_its_files_are_laid_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert new(tmp_path / "pump", monkeypatch, PUMP) == 0
    assert main(["format", "--check", str(tmp_path / "pump")]) == 0


def test_an_interrupted_write_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def pressed(_: int) -> None:
        assert not (tmp_path / "pump").exists(), "the place stays free until all is written"
        raise KeyboardInterrupt

    monkeypatch.setattr("nextprobe.write.folder.os.fsync", pressed)
    assert new(tmp_path / "pump", monkeypatch, PUMP) == 130
    assert "Nothing was written" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def at_a_terminal(monkeypatch: pytest.MonkeyPatch, lines: list[str | type[BaseException]]) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    waiting = iter(lines)

    def typed(_: str = "") -> str:
        line = next(waiting)
        if isinstance(line, str):
            return line
        raise line

    monkeypatch.setattr(sys, "stdin", Terminal())
    monkeypatch.setattr("builtins.input", typed)


def test_at_a_terminal_a_line_is_asked_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    at_a_terminal(monkeypatch, ["pump", "dead", "fuse; often", "fuse; 3", "", "look; 1; 7", "look; 1; 1", "", "", ""])
    assert main(["new", str(tmp_path / "pump")]) == 0
    out = capsys.readouterr().out
    assert "5 of 5" in out
    assert "`often` is no figure" in out
    assert "there is no cause 7" in out
    assert list(load_pack(str(tmp_path / "pump")).causes) == ["fuse"]


def test_ctrl_c_at_a_question(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    at_a_terminal(monkeypatch, ["pump", KeyboardInterrupt])
    assert main(["new", str(tmp_path / "pump")]) == 130
    assert "Nothing was written" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_answers_from_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "answers.yaml"
    path.write_text(
        "machine: cellar pump\nsymptom: it does not start\ncauses: [float stuck; 40, fuse blown]\nmeasurements:\n"
        "  - lift the float; 2; 1\nrepairs: |\n  free the float; 10; 0; 1\n  quote; 10; 260\n",
        encoding="utf-8",
    )
    assert new(tmp_path / "pump", monkeypatch, "", "--answers", str(path)) == 0
    assert list(load_pack(str(tmp_path / "pump")).causes) == ["float_stuck", "fuse_blown"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("- a\n", "is not a map"),
        ("price: 3\n", "no question 'price'"),
        ("causes: {a: 1}\n", "neither text nor a list"),
        ("causes: [a; b]\n", "`b` is no figure"),
        ("causes: [a\n", "cannot be used"),
    ],
)
def test_a_file_that_cannot_be_used(
    text: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "answers.yaml"
    path.write_text(text, encoding="utf-8")
    assert new(tmp_path / "pump", monkeypatch, "", "--answers", str(path)) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "pump").exists()


def test_a_line_too_many_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert new(tmp_path / "pump", monkeypatch, PUMP + "\nwhat else\n") == 2
    assert "'what else' answers no question" in capsys.readouterr().err
