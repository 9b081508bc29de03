"""Each file in tests/broken holds one defect that somebody who writes packs would really make.

The defective line ends in ``# <- CODE``; validating gives exactly that finding, at that line.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nextprobe.pack.validate import check_any, check_pack

BROKEN = Path(__file__).parent.parent / "broken"
MARK = re.compile(r"# <- (NP\d+)")


def expected(path: Path) -> list[tuple[str, int]]:
    """Code and line of every mark in a file, or in all files of a folder."""
    files = sorted(path.rglob("*.yaml")) if path.is_dir() else [path]
    found = []
    for file in files:
        for number, line in enumerate(file.read_bytes().decode("latin-1").split("\n"), start=1):
            found += [(code, number) for code in MARK.findall(line)]
    return sorted(found)


def test_there_are_forty_and_more() -> None:
    assert len(list(BROKEN.iterdir())) >= 40


def test_the_sound_pack_has_no_finding() -> None:
    assert check_any(Path(__file__).parent / "sound" / "pack.yaml").findings == []


@pytest.mark.parametrize("path", sorted(BROKEN.iterdir()), ids=lambda path: path.stem)
def test_one_defect_gives_one_finding_at_its_line(path: Path) -> None:
    marks = expected(path)
    assert len(marks) == 1, "one defect a pack"
    if path.is_file():
        checked = check_pack(path)
    else:
        named = [path / name for name in ("board.yaml", "cases.yaml", "shop.yaml") if (path / name).is_file()]
        checked = check_any(named[0] if named else path / "pack.yaml")
    assert [(one.code, one.line) for one in checked.findings] == marks
    (finding,) = checked.findings
    assert finding.message
    assert finding.help
    assert finding.column >= 1
