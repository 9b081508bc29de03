"""`nextprobe format`: what it writes, what it only says, and that a bad file leaves everything as it was."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.resources import packs_dir

UGLY = "format:   1\nid: a\ninclude: [more.yaml]\ncauses: { c: { title: 'C' } }\n"
NEAT = "format: 1\nid: a\ninclude: [more.yaml]\ncauses: {c: {title: C}}\n"


@pytest.fixture
def pack(tmp_path: Path) -> Path:
    (tmp_path / "pack.yaml").write_text(UGLY, "utf-8")
    (tmp_path / "more.yaml").write_text("hazards:\n    h: {signal: NOTICE, say: Mind it.}\n", "utf-8")
    (tmp_path / "cases.yaml").write_text("- name: x\n  told: {}\n", "utf-8")
    (tmp_path / "other.yaml").write_text("a:   1\n", "utf-8")
    return tmp_path


def test_it_writes_the_files_of_a_pack(pack: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["format", str(pack)]) == 0
    assert (pack / "pack.yaml").read_text("utf-8") == NEAT
    assert (pack / "more.yaml").read_text("utf-8").splitlines()[1].startswith("  h:")
    assert (pack / "other.yaml").read_text("utf-8") == "a:   1\n"
    assert "2 files changed, 1 file left as they are." in capsys.readouterr().out
    assert main(["format", str(pack)]) == 0
    assert "0 files changed, 3 files left" in capsys.readouterr().out
    assert sorted(one.name for one in pack.iterdir()) == ["cases.yaml", "more.yaml", "other.yaml", "pack.yaml"]


def test_check_and_diff_write_nothing(pack: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["format", str(pack), "--check"]) == 1
    assert "pack.yaml: would change" in capsys.readouterr().out
    assert main(["format", str(pack), "--diff"]) == 1
    assert "+causes: {c: {title: C}}\n" in capsys.readouterr().out
    assert (pack / "pack.yaml").read_text("utf-8") == UGLY


def test_one_bad_file_leaves_all_as_they_were(pack: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (pack / "more.yaml").write_text("hazards: [\n", "utf-8")
    assert main(["format", str(pack)]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "more.yaml cannot be formatted" in printed.err
    assert "NP106" in printed.err
    assert "Nothing was changed." in printed.err
    assert (pack / "pack.yaml").read_text("utf-8") == UGLY


def test_a_link_stays_a_link_and_a_mode_a_mode(pack: Path) -> None:
    link = pack / "link.yaml"
    link.symlink_to("other.yaml")
    (pack / "other.yaml").chmod(0o640)
    assert main(["format", str(link)]) == 0
    assert link.is_symlink()
    assert (pack / "other.yaml").read_text("utf-8") == "a: 1\n"
    assert os.stat(pack / "other.yaml").st_mode & 0o777 == 0o640  # noqa: PTH116


def test_no_such_pack_is_a_usage_error(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["format", "no-such-pack"]) == 2
    assert "There is no pack" in capsys.readouterr().err


def test_the_largest_bundled_pack_is_laid_out(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["format", str(packs_dir() / "no-picture"), "--check"]) == 0, capsys.readouterr().out
