"""Board sheets, case files, answers files and shop files: one defect, one finding at its line."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nextprobe.pack.checked import Checked
from nextprobe.pack.validate import check_answers, check_cases_file, check_pack, check_sheet, check_shop, validate_board

SOUND = Path(__file__).parent / "sound" / "pack.yaml"
HEAD = "format: 1\nid: bench-lamp\nfor: [sound]\n"
BOARDS = {
    "measurement": (HEAD + "measurements:\n  rial: {where: Left}  # <- NP301\n"),
    "move": (HEAD + "measurements:\n  plug: {where: Left}  # <- NP304\n"),
    "repair": (HEAD + "repairs:\n  replace_lmp: {parts: 3}  # <- NP301\n"),
    "outcome": (HEAD + "measurements:\n  rail:\n    outcomes: {norml: {range: 1 V .. 2 V}}  # <- NP306\n"),
    "unit": (HEAD + "measurements:\n  rail:\n    outcomes: {normal: {range: 1 A .. 2 A}}  # <- NP321\n"),
    "overlap": (HEAD + "measurements:\n  rail:\n    outcomes: {high: {range: above 1.2 V}}  # <- NP322\n"),
    "option": (HEAD + "options: {supply_typ: small}  # <- NP301\n"),
    "option value": (HEAD + "options: {supply_type: tiny}  # <- NP305\n"),
    "logic": (HEAD + "measurements:\n  rail: {after: [look]}  # <- NP201\n"),
    "good board": (HEAD + "good_board: {rail: plenty}  # <- NP404\n"),
    "point": (
        HEAD + "sketch: {outline: [[0, 0], [50, 0], [50, 30]]}\nmeasurements:\n  rail: {at: [60, 10]}  # <- NP402\n"
    ),
    "no packs": "format: 1\nid: bench-lamp  # <- NP202\ntitle: A lamp\n",
}
CASE = "- name: one\n  told: {look: loose}\n  expect: [{first: cable_loose}]\n"
CASES = {
    "expected cause": CASE.replace("cable_loose}]", "cable_lose}]  # <- NP301"),
    "told id": CASE.replace("{look: loose}", "{loook: loose}  # <- NP301"),
    "told outcome": CASE.replace("loose}\n", "lose}  # <- NP306\n"),
    "told figure": CASE.replace("{look: loose}", "{rail: 1.2 A}  # <- NP404"),
    "option value": CASE.replace("  told", "  options: {lamp_kind: round}  # <- NP305\n  told"),
    "lacks": CASE.replace("  told", "  lacks: [oscilloscope]  # <- NP301\n  told"),
    "symptom": CASE.replace("  told", "  symptom: darkness  # <- NP301\n  told"),
    "bench": CASE.replace("  told", "  bench: {cover: off_}  # <- NP305\n  told"),
    "board": CASE.replace("  told", "  board: nobodys-board  # <- NP301\n  told"),
    "told and answers": CASE.replace("- name: one", "- name: one  # <- NP208").replace(
        "  told", "  answers: {look: sound}\n  told"
    ),
    "name twice": CASE + CASE.replace("one", "one  # <- NP403"),
    "chance": CASE.replace("{first: cable_loose}]", "{cause: cable_loose, at_least: 62}]  # <- NP205"),
    "nothing expected": CASE.replace("[{first: cable_loose}]", "[{cause: cable_loose}]  # <- NP208"),
}
ANSWERS = {
    "id": "look: sound\nrale: 1.2 V  # <- NP301\n",
    "outcome": "look: sund  # <- NP306\n",
    "unit": "rail: 1.2 A  # <- NP404\n",
    "hidden cause": "cause: regulater  # <- NP301\n",
}
SHOPS = {
    "key": "format: 1\nlack: [multimeter]  # <- NP201\n",
    "rate": "format: 1\nlabour_per_hour: 0  # <- NP205\n",
    "accuracy": "format: 1\ninstruments: {multimeter: {accuracy: {voltage: good}}}  # <- NP334\n",
}


@pytest.fixture(scope="module")
def sound() -> Checked:
    return check_pack(SOUND)


def verify(text: str, checked: Checked) -> None:
    marks = [
        (code, number)
        for number, line in enumerate(text.splitlines(), start=1)
        for code in re.findall(r"# <- (NP\d+)", line)
    ]
    found = [(one.code, max(one.line, 1)) for one in checked.findings]
    # A key that is missing has no line of its own: the finding stands at the start of the file.
    assert found == [(code, 1 if code == "NP202" else line) for code, line in marks]


@pytest.mark.parametrize("name", BOARDS)
def test_board_sheets(name: str, sound: Checked, tmp_path: Path) -> None:
    path = tmp_path / "sheet.yaml"
    path.write_text(BOARDS[name], "utf-8")
    verify(BOARDS[name], check_sheet(path, [sound]))


@pytest.mark.parametrize("name", CASES)
def test_cases(name: str, sound: Checked, tmp_path: Path) -> None:
    path = tmp_path / "cases.yaml"
    path.write_text(CASES[name], "utf-8")
    verify(CASES[name], check_cases_file(path, sound))


@pytest.mark.parametrize("name", ANSWERS)
def test_answers(name: str, sound: Checked, tmp_path: Path) -> None:
    path = tmp_path / "answers.yaml"
    path.write_text(ANSWERS[name], "utf-8")
    verify(ANSWERS[name], check_answers(path, sound))


@pytest.mark.parametrize("name", SHOPS)
def test_shops(name: str, tmp_path: Path) -> None:
    path = tmp_path / "shop.yaml"
    path.write_text(SHOPS[name], "utf-8")
    verify(SHOPS[name], check_shop(path))


def test_sound_sheets_have_no_finding(sound: Checked, tmp_path: Path) -> None:
    path = tmp_path / "sheet.yaml"
    path.write_text(
        HEAD + "options: {supply_type: small}\nmeasurements:\n  rail:\n    where: Coil\n"
        "    outcomes: {normal: {range: 1.16 V .. 1.24 V}}\ngood_board: {rail: 1.21 V, look: sound}\n"
        "repairs: {replace_lamp: {parts: 9}}\n",
        "utf-8",
    )
    assert check_sheet(path, [sound]).findings == []
    assert validate_board(path, sound.source)[1] == []
    path.write_text(CASE, "utf-8")
    assert check_cases_file(path, sound).findings == []


def test_a_sheet_for_a_pack_that_is_not_installed_is_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "sheet.yaml"
    path.write_text("format: 1\nid: other\nfor: [some-day]\nmeasurements: {any: {where: Here}}\n", "utf-8")
    assert check_sheet(path).findings == []
