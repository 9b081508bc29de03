"""Whether a slip in a good pack is found: each of sixty, by what `tired_author.yaml` says. The house's own slips."""

from __future__ import annotations

import shutil
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

from nextprobe import load_pack
from nextprobe.pack.validate import check_pack
from nextprobe.resources import packs_dir
from nextprobe.study.cases import run_cases
from nextprobe.study.figures import policy_figures
from nextprobe.study.subject import subject_of

EDITS: list[dict[str, Any]] = YAML(typ="safe").load(Path(__file__).with_name("tired_author.yaml").read_text("utf-8"))
#: How far the expected minutes must move to be seen beside those of the version before.
SEEN = 0.005


@pytest.fixture
def packs(tmp_path: Path) -> Path:
    """A copy of the pack with all that it needs."""
    for name in ("no-picture", "common", "boards"):
        shutil.copytree(packs_dir() / name, tmp_path / name)
    return tmp_path


def slipped(packs: Path, edit: dict[str, Any]) -> Path:
    file = packs / "no-picture" / edit["file"]
    text = file.read_text("utf-8")
    assert edit["old"] in text, edit["slip"]
    file.write_text(text.replace(edit["old"], edit["new"], 1), "utf-8")
    return packs / "no-picture"


@cache
def sound_minutes() -> float:
    return minutes(packs_dir() / "no-picture")


def minutes(folder: Path) -> float:
    return policy_figures(subject_of(load_pack(str(folder)), None, ()).model, None).upper


def test_sixty_slips_of_which_few_stay_unfound() -> None:
    found = Counter(edit["found_by"] for edit in EDITS)
    assert sum(found.values()) == len({edit["slip"] for edit in EDITS}) == 60
    assert set(found) == {"validate", "figures", "cases", "nothing"}
    assert all(edit.get("why") for edit in EDITS if edit["found_by"] == "nothing")
    assert found["validate"] >= 40
    assert found["nothing"] <= 5


@pytest.mark.parametrize("edit", EDITS, ids=lambda edit: edit["slip"])
def test_validate_finds_what_it_is_said_to_find(edit: dict[str, Any], packs: Path) -> None:
    findings = check_pack(slipped(packs, edit) / "pack.yaml").findings
    assert bool(findings) == (edit["found_by"] == "validate")


@pytest.mark.soak
@pytest.mark.parametrize("edit", [e for e in EDITS if e["found_by"] != "validate"], ids=lambda edit: edit["slip"])
def test_study_finds_what_it_is_said_to_find(edit: dict[str, Any], packs: Path) -> None:
    folder = slipped(packs, edit)
    moved = abs(minutes(folder) / sound_minutes() - 1) > SEEN
    assert moved == (edit["found_by"] == "figures")
    if edit["found_by"] != "figures":
        failed = [case.name for case in run_cases(str(folder)) if not case.passed]
        assert bool(failed) == (edit["found_by"] == "cases"), failed
