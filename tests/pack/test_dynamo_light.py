"""The pack on a bicycle's dynamo lighting: sound, tested, walked to its end, and alone in its trade.

What a case expects is workshop reasoning on a circuit of one source, two wires and a lamp; common practice, no source.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import nextprobe
from nextprobe import Walk, load_pack
from nextprobe.pack.cache import validate_source
from nextprobe.pack.source import read_yaml
from nextprobe.resources import find_pack, packs_dir
from nextprobe.study.cases import run_cases
from nextprobe.walk.play import play

HOME = packs_dir() / "dynamo-light"

#: Words of the other packs' trade that are no words of electrics, of programs or of everyday English.
LAPTOP_WORDS = re.compile(
    r"\b(laptops?|notebook computers?|batter(?:y|ies)|adapters? (?:plug|voltage)|backlights?|motherboards?"
    r"|memory modules?|so-?dimms?|ddr\d\w*|bios|cooler|heat ?sinks?|underfill\w*|reball\w*|touchpads?|caps.?lock"
    r"|hinges?|no[-_]picture|no[-_]reaction|bicycles?|dynamos?)\b",
    re.IGNORECASE,
)


def test_it_validates_without_a_finding() -> None:
    assert [str(one) for one in validate_source(find_pack("dynamo-light")).findings] == []
    assert [str(one) for one in validate_source(HOME / "cases.yaml").findings] == []


def test_its_cases_pass() -> None:
    results = run_cases("dynamo-light")
    assert len(results) >= 8
    assert [(one.name, one.astray) for one in results if not one.passed] == []


def test_it_takes_nothing_from_another_pack() -> None:
    included = read_yaml(HOME / "pack.yaml").data["include"]
    assert all("/" not in name for name in included)


def test_the_story_beside_it_walks_to_the_repair() -> None:
    told = {str(key): str(value) for key, value in read_yaml(HOME / "demo.yaml").data.items()}
    walk = Walk(load_pack("dynamo-light"))
    play(walk, told)
    assert walk.ending is not None
    assert walk.ending.what == "repaired"
    belief = walk.belief()
    assert max(belief, key=lambda cause: belief[cause]) == "feed_broken"


@pytest.mark.parametrize(("dynamo", "lamp"), [("hub", "bulb"), ("bottle", "diode")])
def test_every_cause_is_repaired_or_quoted(dynamo: str, lamp: str) -> None:
    """A walk that knows only looks still ends, whatever the cause."""
    pack = load_pack("dynamo-light")
    options = {"dynamo_kind": dynamo, "lamp_kind": lamp, "return_path": "wire", "rear_lamp": "fed"}
    for cause in pack.causes:
        if any(options[key] not in values for one in pack.causes[cause].only_if for key, values in one.items()):
            continue
        walk = Walk(pack, options=options)
        play(walk, {"outside_look": "sound", "cause": cause})
        assert walk.ending is not None, cause
        assert walk.ending.what in ("repaired", "referred"), cause


def test_the_code_knows_no_trade() -> None:
    """Neither the engine nor the screens name what only one pack knows."""
    engine = Path(nextprobe.__file__).parent
    homes = [engine] + [home for home in [engine.parent.parent / "tui"] if home.is_dir()]
    named = [
        f"{path.relative_to(home)}:{number}: {found[0]}"
        for home in homes
        for path in sorted(home.rglob("*.py"))
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if (found := LAPTOP_WORDS.search(line))
    ]
    assert named == []
