"""``nextprobe study`` on small packs: its figures, its cases, its page; the figures themselves are held elsewhere."""

from __future__ import annotations

import json
from html.parser import HTMLParser
from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.study.lines import lines
from nextprobe.study.page import page
from nextprobe.study.study import Study, make_study
from tests.study.small import CASES, LAMP, ONE_CAUSE, ONLY_FINDS, written

KEYS = {"detected", "isolated", "ambiguity_groups", "expected_minutes", "by_cause", "cases"}


def studied(folder: Path, text: str, cases: str = "") -> Study:
    return make_study(written(folder, text, cases), workers=1)


def test_json_has_what_a_program_reads(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["study", written(tmp_path / "lamp", LAMP, CASES), "--workers", "1", "--json"]) == 1
    result = json.loads(capsys.readouterr().out)
    assert set(result) >= KEYS
    by_cause = result["by_cause"]
    assert set(by_cause) == {"fuse", "bulb", "holder", "unlisted"}
    mean = sum(one["share"] * one["minutes"] for one in by_cause.values())
    assert mean == pytest.approx(result["expected_minutes"], abs=1e-9)
    assert result["repaired"] + result["quoted"] + result["stopped"] == pytest.approx(1.0)
    # Weights 2, 1, 1 of what is left beside the unlisted 2 % (pack format, "Weights").
    assert [by_cause[cause]["share"] for cause in ("fuse", "bulb")] == pytest.approx([0.49, 0.245])
    # Known at once: the repair, a minute to look, and the quote of 160 where it did not help (5 in 100).
    assert by_cause["fuse"]["known_minutes"] == pytest.approx(12 + 1 + 0.05 * 160)
    assert result["ambiguity_groups"] == [["bulb", "holder"]]
    # Only the fuse reads otherwise than a healthy lamp: half of the listed weight.
    assert result["detected"] == pytest.approx(0.5)
    assert result["never_pay"] == ["smell"]
    assert ["bulb"] in [one["no_measurement_tells_it_from"] for one in result["dear_causes"]]


def test_a_failed_case_says_where_it_went_astray(tmp_path: Path) -> None:
    cases = {case.name: case for case in studied(tmp_path / "lamp", LAMP, CASES).cases}
    assert [case.passed for case in cases.values()] == [True, True, False, False, False]
    assert cases["wrong on purpose"].astray.startswith("step 1: current = none took bulb from 0.245 to 0.0")
    assert cases["never asked"].astray == "asked instead: current, replace_fuse, seen"
    assert "replace_bulb went over it" in cases["too long on purpose"].astray


def test_doubts_are_told_where_they_are_asked_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "page.html"
    pack = written(tmp_path / "lamp", LAMP)
    assert main(["study", pack, "--workers", "1", "--doubts", "--json", "--html", str(file)]) == 0
    found = json.loads(capsys.readouterr().out)["doubts"]
    moves = [one["moves"] for one in found]
    assert moves == sorted(moves, reverse=True)
    assert moves[0] > 1.0
    assert "Which number to measure" in file.read_text(encoding="utf-8")
    assert main(["study", pack, "--workers", "1", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["doubts"] is None


def test_text_is_80_columns_wide_and_the_few_lines_are_first(tmp_path: Path) -> None:
    for name, text in (("lamp", LAMP), ("colour", ONLY_FINDS), ("one", ONE_CAUSE)):
        told = list(lines(studied(tmp_path / name, text, CASES if name == "lamp" else "")))
        assert max(len(line) for line in told) < 80
        assert any("minutes" in line for line in told[:6])


def test_a_pack_that_only_finds_is_studied(tmp_path: Path) -> None:
    """One test of two minutes splits one wire from two that nothing tells apart."""
    study = studied(tmp_path / "colour", ONLY_FINDS)
    assert study.figures.upper == pytest.approx(2.0)
    assert study.testability.groups == (("blue", "green"),)
    assert [dear.cause.id for dear in study.dear] == ["green", "blue"]
    assert study.mean("found") == pytest.approx(1.0)


def test_a_pack_of_one_cause_is_studied(tmp_path: Path) -> None:
    study = studied(tmp_path / "one", ONE_CAUSE)
    assert study.figures.upper == pytest.approx(13.0)
    assert study.dear == ()
    assert study.mean("repaired") == pytest.approx(1.0)


class _Read(HTMLParser):
    """Collects tags and what they point at."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: set[str] = set()
        self.far: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add(tag)
        self.far += [value or "" for name, value in attrs if name in ("src", "href", "xlink:href")]
        if tag != "meta":
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add(tag)

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop() != tag:
            pass


@pytest.mark.parametrize(("name", "text"), [("lamp", LAMP), ("colour", ONLY_FINDS), ("one", ONE_CAUSE)])
def test_the_page_needs_nothing_beside_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, text: str
) -> None:
    file = tmp_path / "page.html"
    cases = CASES if name == "lamp" else ""
    pack = written(tmp_path / name, text.replace("title: Fuse open", "title: Fuse <b> & open"), cases)
    main(["study", pack, "--workers", "1", "--html", str(file)])
    told = file.read_text(encoding="utf-8")
    read = _Read()
    read.feed(told)
    assert not read.far
    assert not read.seen & {"script", "link", "img", "iframe"}
    assert "svg" in read.seen
    assert "url(" not in told
    if name != "colour":
        assert "Fuse &lt;b&gt; &amp; open" in told
    assert f"Written: {file}" in capsys.readouterr().out


def test_what_cannot_be_is_refused_before_any_work(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pack = written(tmp_path / "lamp", LAMP)
    for more, said in (
        (["--jobs", "-1"], "--jobs is -1"),
        (["--seconds", "-1"], "--seconds is -1"),
        (["--seconds", "nan"], "--seconds is nan"),
        (["--workers", "0"], "--workers is 0"),
        (["--seed", "-4"], "--seed is -4"),
        (["--html", str(tmp_path / "none" / "page.html")], "There is no folder"),
        (["--symptom", "loud"], "no symptom 'loud'"),
        (["--without", "hammer"], "hammer"),
    ):
        assert main(["study", pack, *more]) == 2
        assert said in capsys.readouterr().err


def test_two_versions_are_set_side_by_side(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = written(tmp_path / "old", LAMP, CASES)
    new = written(tmp_path / "new", LAMP.replace("weight: 2,", "weight: 0.2,"), CASES)
    assert main(["study", new, "--versus", old, "--workers", "1"]) == 1  # the fuse does not lead any more
    text = capsys.readouterr().out
    assert "causes.fuse.weight: 2 → 0.2" in text
    assert main(["study", old, "--versus", old, "--workers", "1", "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert (result["changes"], result["minutes"], result["cases_lost"]) == ([], 0.0, [])
    assert main(["study", new, "--versus", old, "--jobs", "5"]) == 2
    assert "--jobs" in capsys.readouterr().err


def test_stopped_at_once_there_are_figures(tmp_path: Path) -> None:
    study = make_study(written(tmp_path / "lamp", LAMP, CASES), workers=1, jobs=100, cancel=lambda: True)
    assert study.stopped_early
    assert study.simulated is None
    assert study.cases == ()
    assert study.cases_of == 5
    assert "5 not run" in "\n".join(lines(study))
    assert study.figures.upper > 0


def test_the_page_says_that_it_was_stopped(tmp_path: Path) -> None:
    from datetime import date

    study = make_study(written(tmp_path / "lamp", LAMP, CASES), workers=1, cancel=lambda: True)
    assert "Stopped by Ctrl-C" in page(study, date(2026, 1, 2))
