"""``nextprobe explain``: every page can be read from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from nextprobe.cli import explain
from nextprobe.cli.main import main


@pytest.fixture
def pages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "findings"
    folder.mkdir()
    (folder / "NP301.md").write_text("# NP301: An id that nothing defines\n\nWhy it matters: …\n", encoding="utf-8")
    (folder / "NP302.md").write_text("# Ranges that overlap\n", encoding="utf-8")
    (folder / "README.md").write_text("# Not a finding\n", encoding="utf-8")
    monkeypatch.setattr(explain, "data_dir", lambda kind: tmp_path)


@pytest.mark.usefixtures("pages")
@pytest.mark.parametrize("typed", ["NP301", "np301", " NP301 "])
def test_a_code_prints_its_page(typed: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", typed]) == 0
    assert capsys.readouterr().out == "# NP301: An id that nothing defines\n\nWhy it matters: …\n"


@pytest.mark.usefixtures("pages")
def test_without_a_code_all_are_listed_with_their_title(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain"]) == 0
    assert capsys.readouterr().out == "NP301  An id that nothing defines\nNP302  Ranges that overlap\n"


@pytest.mark.usefixtures("pages")
@pytest.mark.parametrize(("typed", "said"), [("NP303", "Did you mean NP30"), ("zzz", "lists them all")])
def test_an_unknown_code_is_refused_with_what_is_near(
    typed: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["explain", typed]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"There is no finding {typed!r}." in err
    assert said in err


def test_the_bundled_pages_are_found(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines
    assert all(line.split(maxsplit=1)[1:] for line in lines), "every page has a title"
