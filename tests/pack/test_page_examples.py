"""The example on a finding's page gives that finding, at the line it marks, and nothing else; its cure gives none.

`tests/pages` holds the smallest pack around each example: a file, or a folder where it takes several. What stands on
the page takes the place of the line ``# page``. An example of several lines marks the one meant with ``# <- here``.
Where an example is of several files, ``# name.yaml`` stands above the part of each.
"""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from nextprobe.cli import main as entry
from nextprobe.errors import Finding
from nextprobe.pack.validate import check_any
from nextprobe.resources import schemas_dir

ROOT = Path(__file__).parents[2]
AROUND = ROOT / "tests" / "pages"
TEXTS = {page.stem: page.read_text("utf-8") for page in sorted((ROOT / "docs" / "findings").glob("NP*.md"))}
#: Its example is what one types; the pack is typed at.
COMMANDS = {"NP101"}
PAGES = [code for code in TEXTS if code not in COMMANDS]
PLACE = re.compile(r"^( *)# page\n", re.MULTILINE)
FILE = re.compile(r"^# ([a-z]+\.yaml)\n", re.MULTILINE)
#: What cannot be printed stands on a page in words.
BYTES = {"<byte 0xB0>": b"\xb0", "<byte-order mark>": b"\xef\xbb\xbf"}


def blocks(code: str) -> tuple[str, str]:
    """What stands on a page as its example and as its cure."""
    example, cure = re.findall(r"^```\w+\n(.*?)^```", TEXTS[code], re.MULTILINE | re.DOTALL)
    return example, cure


def by_file(block: str) -> dict[str, str]:
    """The parts of an example that is of several files; a part without a name belongs to the only file with a place."""
    parts = FILE.split(block)
    return dict(zip(parts[1::2], parts[2::2], strict=True)) if len(parts) > 1 else {"": block}


def placed(code: str, block: str, folder: Path) -> dict[str, int]:
    """Write the pack of a page with `block` in its place; the line before the block, by the name of its file."""
    around = AROUND / code
    if around.is_dir():
        shutil.copytree(around, folder)
    else:
        folder.mkdir()
        shutil.copy(around.with_suffix(".yaml"), folder / "pack.yaml")
    parts, before = by_file(block), {}
    for path in sorted(folder.rglob("*.yaml")):
        text = path.read_text("utf-8")
        place = PLACE.search(text)
        if place is not None:
            own = parts.get(path.name, parts.get("", ""))
            lines = "".join(f"{place[1]}{line}" for line in own.splitlines(keepends=True))
            before[path.name] = text[: place.start()].count("\n")
            raw = (text[: place.start()] + lines + text[place.end() :]).encode()
            for words, meant in BYTES.items():
                raw = raw.replace(words.encode(), meant)
            path.write_bytes(raw)
    return before


def marked(block: str, before: dict[str, int]) -> set[tuple[str, int]]:
    """File and line of every mark; of the only line where there is but one."""
    found = set()
    for name, part in by_file(block).items():
        file = name or next(iter(before))
        for number, line in enumerate(part.splitlines(), start=1):
            if line.endswith("# <- here") or block.count("\n") == 1:
                found.add((file, before[file] + number))
    return found


def findings(folder: Path) -> list[Finding]:
    """What there is to say about the pack in `folder`, or about the cases or the sheet that stand beside it."""
    named = [path for name in ("board", "cases", "pack") for path in sorted(folder.rglob(f"{name}.yaml"))]
    return check_any(named[0]).findings


@pytest.fixture(autouse=True)
def _stricter_schema(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """For the last resort of the schema alone: a demand that no schema of ours makes, as its page says."""
    if getattr(request.node, "callspec", None) is None or request.node.callspec.params.get("code") != "NP209":
        return
    schema = json.loads((schemas_dir() / "pack.schema.json").read_text("utf-8"))
    schema["$defs"]["instrument_entry"]["properties"]["counts"]["multipleOf"] = 1000
    monkeypatch.setattr("nextprobe.pack.schema._validator", lambda kind: Draft202012Validator(schema))


def test_every_page_has_a_pack_around_it() -> None:
    assert {path.stem for path in AROUND.iterdir()} == set(TEXTS)


@pytest.mark.parametrize("code", PAGES)
def test_the_example_gives_its_finding_where_it_is_marked(code: str, tmp_path: Path) -> None:
    example, _ = blocks(code)
    before = placed(code, example, tmp_path / "lamp")
    found = findings(tmp_path / "lamp")
    assert {(one.code, Path(one.file).name, one.line) for one in found} == {
        (code, file, line) for file, line in marked(example, before)
    }
    severity = re.search(r"^Severity: (\w+)$", TEXTS[code], re.MULTILINE)
    assert severity is not None
    assert {one.severity for one in found} == {severity[1]}


@pytest.mark.parametrize("code", PAGES)
def test_its_cure_gives_none(code: str, tmp_path: Path) -> None:
    _, cure = blocks(code)
    placed(code, cure, tmp_path / "lamp")
    assert [str(one) for one in findings(tmp_path / "lamp")] == []


@pytest.mark.parametrize("code", sorted(COMMANDS))
def test_commands_give_the_finding_and_those_of_the_cure_none(
    code: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copytree(AROUND / code, tmp_path / "lamp")
    unreadable: set[Path] = set()
    opened = Path.open

    def as_a_user(path: Path, *args: Any, **named: Any) -> Any:
        # Whoever may do everything is not stopped by a file's rights; a technician is.
        if path.resolve() in unreadable:
            raise PermissionError(13, "Permission denied", str(path))
        return opened(path, *args, **named)

    monkeypatch.setattr(Path, "open", as_a_user)
    for block, ends in zip(blocks(code), (1, 0), strict=True):
        for line in block.splitlines():
            program, what, *rest = line.split()
            if program == "chmod":
                (unreadable.add if what == "a-r" else unreadable.discard)(Path(*rest).resolve())
            else:
                assert (program, entry.main([what, *rest])) == ("nextprobe", ends)
        printed = capsys.readouterr().out
        assert (f"lamp/pack.yaml: error {code}: " in printed) == bool(ends)
