"""Two versions of a pack: what is told of an edit, and what is not; minutes against the optimum, cases by hand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nextprobe.pack.load import load_pack
from nextprobe.plan.plan import make_plan
from nextprobe.study.subject import subject_of
from nextprobe.study.versions import Versions, as_json, lines, versions
from tests.study.small import CASES, LAMP

SOUND = (Path(__file__).parents[1] / "pack" / "sound" / "pack.yaml").read_text("utf-8")


def on_disk(folder: Path, text: str, cases: str = "") -> str:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "pack.yaml").write_text(text, encoding="utf-8")
    if cases:
        (folder / "cases.yaml").write_text(cases, encoding="utf-8")
    return str(folder)


def edited(tmp_path: Path, *edits: tuple[str, str], text: str = SOUND) -> Versions:
    """A pack beside itself after some edits of its text."""
    new = text
    for old, now in edits:
        assert old in new, old
        new = new.replace(old, now)
    return versions(on_disk(tmp_path / "old", text), on_disk(tmp_path / "new", new), workers=1)


def told(found: Versions) -> list[str]:
    return [change.words for change in found.changes]


@pytest.mark.parametrize(
    "edit",
    [
        ("wait: 1 h", "wait: 60 min"),
        ("minutes: 5, hazards: [sharp_edge]", "hazards: [sharp_edge], minutes: 5 min"),
        ("after: [look]", "after: look"),
        ("fixes: {lamp_broken: 1}", "fixes: {lamp_broken: 1.0}"),
        ("supply: {values: [removed, powered], start: removed}", "supply: {values: [removed, powered]}"),
        ("version: 1.0.0\n", "version: 1.0.0\n# a comment\nmisread: 0.01\n"),
        ("when: {all: [lamp_open, {not: rail_missing}]}", "when: {all: [{not: rail_missing}, lamp_open]}"),
        (
            "  regulator:\n    title: Regulator failed\n    weight: 2\n",
            "  regulator:\n    weight: 2\n    title: Regulator failed\n",
        ),
    ],
)
def test_another_spelling_is_no_change(edit: tuple[str, str], tmp_path: Path) -> None:
    found = edited(tmp_path, edit)
    assert told(found) == []
    assert found.minutes == 0.0
    assert "  Nothing that means anything." in lines(found)


def test_order_that_means_nothing_is_not_told(tmp_path: Path) -> None:
    causes = SOUND[SOUND.index("  cable_loose:\n") : SOUND.index("\nmeasurements:")]
    first, second = causes.split("  lamp_broken:\n")
    swapped = f"  lamp_broken:\n{second.rstrip()}\n{first.rstrip()}\n"
    assert told(edited(tmp_path, (causes, swapped))) == []


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (("    weight: 2\n", "    weight: 1.6\n"), "causes.regulator.weight: 2 → 1.6"),
        (("{lamp_off: 0.9}", "{lamp_off: 0.8}"), "causes.cable_loose.leads_to.lamp_off: 0.9 → 0.8"),
        (("absent: {range: below 0.2 V}", "absent: {range: below 0.3 V}"),
         "measurements.rail.outcomes.absent.range: below 0.2 V → below 0.3 V"),
        (("small: 1.14 V .. 1.26 V", "small: 1.1 V .. 1.3 V"),
         "measurements.rail.outcomes.normal.range.small: 1.14 V .. 1.26 V → 1.1 V .. 1.3 V"),
        (("    minutes: 30\n", "    minutes: 25\n"), "repairs.replace_regulator.minutes: 30 → 25"),
        (("fixes: {regulator: 0.9}", "fixes: {regulator: 0.7}"),
         "repairs.replace_regulator.fixes.regulator: 0.9 → 0.7"),
        (("raises: {cable_loose: 2}", "raises: {cable_loose: 3}"), "history.recent_drop.raises.cable_loose: 2 → 3"),
        (("wait_cap: 15", "wait_cap: 20"), "economics.wait_cap: 15 → 20"),
        (("steps: [Heat it., ", "steps: [Warm it., "), "repairs.replace_regulator.steps: worded otherwise"),
        (("title: Lamp broken", "title: Lamp burnt out"), "causes.lamp_broken.title: Lamp broken → Lamp burnt out"),
        (("prove: [resistance, seen, load_run]", "prove: [resistance, load_run, seen]"),
         "repairs.replace_regulator.prove: resistance, seen, load_run → resistance, load_run, seen"),
        (("source: {kind: estimate, doubt: 2, note: invented}", "source: {kind: practice, note: invented}"), "source"),
    ],
)  # fmt: skip
def test_an_edit_is_told_in_words(edit: tuple[str, str], words: str, tmp_path: Path) -> None:
    found = told(edited(tmp_path, edit))
    if words == "source":
        assert len(found) == 1
        assert re.fullmatch(r"source of unlisted|source of .* and \d+ more: estimate, doubt 2 → practice", found[0])
    else:
        assert found == [words]


def test_a_chance_of_a_rule_is_told_with_what_it_holds_for(tmp_path: Path) -> None:
    edit = "gives: {loose: 0.8, sound: 0.2}", "gives: {loose: 0.7, sound: 0.3}"
    assert told(edited(tmp_path, edit)) == [
        "measurements.look, if cable_loose, loose: 0.8 → 0.7",
        "measurements.look, if cable_loose, sound: 0.2 → 0.3",
    ]


def test_rules_in_another_order_are_told_where_they_read_otherwise(tmp_path: Path) -> None:
    one = "      - {when: rail_missing, gives: {absent: 0.9, low: 0.1}}\n"
    lamp = "      - {when: lamp_open, gives: {normal: 1}}\n"
    both = "      - {when: lamp_off, gives: {normal: 0.5, low: 0.5}}\n"
    apart = SOUND.replace(one, one + lamp)
    # The lamp's fault and the missing supply never stand side by side in one hypothesis of one fault.
    assert told(edited(tmp_path / "a", (one + lamp, lamp + one), text=apart)) == []
    over = SOUND.replace(one, one + both)
    assert told(edited(tmp_path / "b", (one + both, both + one), text=over)) == [
        "measurements.rail: its rules stand in another order, and read otherwise"
    ]


def test_entries_come_go_and_are_renamed(tmp_path: Path) -> None:
    found = edited(
        tmp_path,
        ("cable_loose", "loose_cable"),
        ("  lamp_trial:\n    title: Trial with a good lamp\n", "  other_trial:\n    title: Another trial\n"),
        ("minutes: 3\n    only_if", "minutes: 3.5\n    only_if"),
        ("dust: {say: Dust inside", "fluff: {say: Fluff inside"),
    )
    assert told(found) == [
        "cable_loose is now called loose_cable",
        "measurements.lamp_trial removed (Trial with a good lamp)",
        "measurements.other_trial added (Another trial)",
        "remarks.dust removed (Dust inside)",
        "remarks.fluff added (Fluff inside)",
    ]


def test_minutes_are_those_of_both_plans(tmp_path: Path) -> None:
    found = edited(tmp_path, ("weight: 2,", "weight: 5,"), ("minutes: 12", "minutes: 8"), text=LAMP)
    optima = [make_plan(subject_of(load_pack(tmp_path / side)).model, "exact").expected_cost for side in ("old", "new")]
    assert found.old is not None
    assert found.new is not None
    assert (found.old.minutes, found.new.minutes) == pytest.approx(optima, abs=1e-9)
    assert found.minutes == pytest.approx(optima[1] - optima[0], abs=1e-9)
    for side in (found.old, found.new):
        assert side.optimal
        assert sum(cause.share * cause.minutes for cause in side.causes) == pytest.approx(side.minutes, abs=1e-9)


def test_cases_of_both_run_on_both(tmp_path: Path) -> None:
    extra = "- name: flowing\n  told: {current: flowing}\n  expect: [{cause: fuse, at_most: 0.3}]\n"
    new = LAMP.replace("{none: 0.95, flowing: 0.05}", "{none: 0.15, flowing: 0.85}")
    found = versions(on_disk(tmp_path / "old", LAMP, CASES), on_disk(tmp_path / "new", new, CASES + extra), workers=1)
    by_name = {case.name: case for case in found.cases}
    # No current: fuse 2 x 0.95 against 2 x 0.05 for the others is 0.95 of the belief, with slips still over 0.8; by the
    # new pack 2 x 0.15 against 2 x 0.05 is 0.75.
    assert (by_name["no current"].of, by_name["no current"].old, by_name["no current"].new) == ("both", True, False)
    assert by_name["no current"].why_new
    assert (by_name["flowing"].of, by_name["flowing"].old) == ("new", True)
    assert found.lost[0].name == "no current"
    assert by_name["wrong on purpose"].old is False
    said = lines(found)
    assert any("holds no more: no current" in line for line in said)
    assert max(map(len, said)) <= 80
    plain = as_json(found)
    assert plain["cases_lost"][0] == "no current"
    assert len(plain["cases"]) == 6
    assert {"words", "where", "old", "new", "kind"} <= set(plain["changes"][0])


def test_a_case_with_an_id_that_is_another_now_is_the_same_case(tmp_path: Path) -> None:
    new, cases = LAMP.replace("fuse", "link"), CASES.replace("fuse", "link")
    new = re.sub("Fuse|the link", lambda said: {"Fuse": "Fuse", "the link": "the fuse"}[said[0]], new)
    cases = cases.replace("led to the link", "led to the fuse")
    found = versions(on_disk(tmp_path / "old", LAMP, CASES), on_disk(tmp_path / "new", new, cases), workers=1)
    assert {case.of for case in found.cases} == {"both"}
    assert (found.lost, found.won) == ((), ())
    assert sorted(told(found)) == ["fuse is now called link", "replace_fuse is now called replace_link"]
    assert found.minutes == 0.0


def test_a_case_on_a_board_that_one_version_does_not_serve_fails_there(tmp_path: Path) -> None:
    board = "format: 1\nid: bench-lamp\ntitle: Invented\nfor: [lamp]\n"
    case = "- name: on a board\n  board: sheet.yaml\n  told: {current: none}\n  expect: [{first: fuse}]\n"
    old, new = on_disk(tmp_path / "old", LAMP, case), on_disk(tmp_path / "new", LAMP, case)
    (tmp_path / "old" / "sheet.yaml").write_text(board, encoding="utf-8")
    (tmp_path / "new" / "sheet.yaml").write_text(board.replace("[lamp]", "[other]"), encoding="utf-8")
    (one,) = versions(old, new, workers=1).cases
    assert (one.old, one.new) == (True, False)
    assert "not for the pack" in one.why_new


def test_it_can_be_interrupted(tmp_path: Path) -> None:
    old, new = on_disk(tmp_path / "old", LAMP, CASES), on_disk(tmp_path / "new", LAMP, CASES)
    found = versions(old, new, workers=1, cancel=lambda: True)
    assert (found.old, found.new, found.cases) == (None, None, ())
    assert "  not planned" in lines(found)
