"""Laying a file out changes how it looks and never what it says; doing it twice changes nothing more."""

from __future__ import annotations

import random
import shutil
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from nextprobe.errors import PackError
from nextprobe.pack.format import FILL, LONGEST, format_text
from nextprobe.pack.format_files import lay_out, write
from nextprobe.pack.load import load_pack
from nextprobe.pack.source import read_yaml
from nextprobe.pack.validate import validate_pack
from nextprobe.resources import bundled_packs, packs_dir
from nextprobe.walk import Walk

FILES = sorted(packs_dir().glob("*/*.yaml"))


def data_of(text: str) -> str:
    return repr(read_yaml("pack.yaml", text).data)


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_a_bundled_file_says_the_same(path: Path) -> None:
    text = path.read_text("utf-8")
    done = format_text(text)
    assert data_of(done) == data_of(text)
    assert format_text(done) == done
    assert comments(done) == comments(text)
    assert all(line == line.rstrip() for line in done.splitlines())


def comments(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.lstrip().startswith("#")]


@pytest.mark.parametrize("id_", bundled_packs())
def test_a_bundled_pack_is_the_same_to_the_engine(id_: str, tmp_path: Path) -> None:
    """Same findings (but for their places) and, to the last bit, the same arrays."""
    shutil.copytree(packs_dir(), tmp_path / "packs")
    path = tmp_path / "packs" / id_ / "pack.yaml"
    before = (_said(path), _arrays(path))
    for laid in lay_out([path, *sorted((tmp_path / "packs" / "common").glob("*.yaml"))]):
        write(laid)
    after = (_said(path), _arrays(path))
    assert after[0] == before[0]
    assert len(after[1]) == len(before[1])
    assert all(np.array_equal(one, other) for one, other in zip(after[1], before[1], strict=True))


def _said(path: Path) -> list[tuple[str, str]]:
    return sorted((one.code, one.path) for one in validate_pack(path)[1])


def _arrays(path: Path) -> list[np.ndarray]:
    model = Walk(load_pack(path)).planning_model().model
    values = [getattr(model, field.name) for field in fields(model)]
    assert any(isinstance(value, np.ndarray) and value.size > 100 for value in values)
    lists = [one for value in values if isinstance(value, (list, tuple)) for one in value]
    return [one for one in (*values, *lists) if isinstance(one, np.ndarray)]


SAME = {
    "two columns a level": ("a:\n    b: 1\n    c:\n        d: 2\n", "a:\n  b: 1\n  c:\n    d: 2\n"),
    "items below their key": ("a:\n- b: 1\n  c: 2\n-   d: 3\n", "a:\n  - b: 1\n    c: 2\n  - d: 3\n"),
    "items at the top": ("- b:\n    - 1\n- c: 2\n", "- b:\n    - 1\n\n- c: 2\n"),
    "quotes that nothing needs": ("a: \"b c\"\nd: 'e, f'\n", "a: b c\nd: e, f\n"),
    "one kind of quotes": ("a: 'yes'\nb: 'c: d'\n", 'a: "yes"\nb: "c: d"\n'),
    "spaces in brackets": ("a: { b : 1,c:  [ 1,2 ] }\n", "a: {b: 1, c: [1, 2]}\n"),
    "spaces after a colon": ("a:   1\nbb:     2\n", "a: 1\nbb: 2\n"),
    "trailing blanks": ("a: 1  \nb:\t\n  c: 2 \n", "a: 1\n\nb:\n  c: 2\n"),
    "blank lines": ("\n\na:\n  b: 1\n\n\n\nc: 2\n\n\n", "a:\n  b: 1\n\nc: 2\n"),
    "a comment follows its entry": ("a:\n    # why\n    b: 1\n", "a:\n  # why\n  b: 1\n"),
    "a comment of the block above": ("a:\n    b: 1\n    # end\nc: 2\n", "a:\n  b: 1\n  # end\n\nc: 2\n"),
    "no last line end": ("a: 1", "a: 1\n"),
    "a byte-order mark": ("\ufeffa: 1\n", "a: 1\n"),
    "brackets over lines move as one": ("a:\n    b: {c: 1,\n        d: 2}\n", "a:\n  b: {c: 1,\n      d: 2}\n"),
    "a text moves as one": (
        "a:\n    b: |\n        c\n          d \n\n        e\n",
        "a:\n  b: |\n    c\n      d \n\n    e\n",
    ),
    "CRLF where every line has it": ("a:\r\n    b: 1\r\n", "a:\r\n  b: 1\r\n"),
    "LF where some have it": ("a: 1\r\nb: 2\n", "a: 1\nb: 2\n"),
}
KEPT = [
    "low:    {a: 1}\nnormal: {a: 2}\n",
    'a: "1.0"\nb: "on"\nc: "2024-01-01"\nd: "x # y"\ne: " f"\ng: ""\nh: "- i"\nj: "0x1F"\nk: "a: b"\n',
    'a: {b: "c, d", e: "f]", g: "why?", h: "1:2"}\n',
    'a: "tab\\there"\nb: say "no" \\ yes\n',
    "a: >+\n  b\n\n\nc: 1\n",
    "a: |2\n    b\n   c\nd: 1\n",
    'a: {b: "c\n\n    d"}\n',
    "a: b   # why\n",
    "a: x\n  y\n\n  z\n",
]


@pytest.mark.parametrize("name", SAME)
def test_the_one_way_to_write(name: str) -> None:
    text, wanted = SAME[name]
    assert format_text(text) == wanted
    assert format_text(wanted) == wanted
    assert data_of(wanted) == data_of(text)


@pytest.mark.parametrize("text", KEPT)
def test_what_is_kept(text: str) -> None:
    assert format_text(text) == text


def test_a_line_of_brackets_that_is_too_long_is_broken_between_items() -> None:
    text = "a: {" + ", ".join(f"item_{n}: [{n}, {n}]" for n in range(20)) + "}\n"
    assert len(text) > LONGEST
    done = format_text(text)
    assert data_of(done) == data_of(text)
    assert all(len(line) <= FILL for line in done.splitlines())
    assert done.splitlines()[1].startswith("    item_")
    assert format_text(done) == done


@pytest.mark.parametrize("text", ["a: [1\n", "a: &x 1\nb: *x\n", "a:\n  <<: {b: 1}\n", "a: 1\na: 2\n", "", "a: yes\n"])
def test_what_cannot_be_read_is_refused(text: str) -> None:
    with pytest.raises(PackError) as caught:
        format_text(text, "some.yaml")
    assert caught.value.findings[0].file == "some.yaml"
    assert "Nothing was changed" in caught.value.cure


@pytest.mark.parametrize("seed", range(6))
def test_a_messed_up_pack_comes_out_the_same(seed: int) -> None:
    """Spaces that mean nothing are strewn over a pack; what it says and the one way to write it stay."""
    chance = random.Random(seed)
    text = format_text((Path(__file__).parent / "sound" / "pack.yaml").read_text("utf-8"))
    messed = []
    for line in text.splitlines():
        indent = len(line) - len(line.lstrip())
        body = line.lstrip()
        for old, new in ((", ", " ,  "), ("{", "{ "), ("}", " }"), ("[", "[  ")):
            if chance.random() < 0.5 and '"' not in body and "{" in body:
                body = body.replace(old, new)
        messed.append(" " * (indent * 2) + body + " " * chance.choice((0, 0, 3)))
        if chance.random() < 0.1:
            messed.extend([""] * chance.choice((2, 3)))
    done = format_text("\n".join(messed))
    assert data_of(done) == data_of(text)
    assert [one for one in done.splitlines() if one] == [one for one in text.splitlines() if one]
    assert format_text(done) == done
