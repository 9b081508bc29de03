"""A bar over the bench, and a repair behind it, on the smallest pack that shows it.

Source: the pack format, `bars` and `until`: no move into these conditions until what `until` names has been
told so; a retake replaces the earlier reading.
"""

from __future__ import annotations

from typing import Any

import pytest

from nextprobe import Walk
from nextprobe.pack.build import build_pack

BENCH: dict[str, Any] = {
    "conditions": {"supply": {"values": ["removed", "powered"]}},
    "moves": {
        "plug": {"change": {"supply": "powered"}, "minutes": 1, "do": "Plug it in."},
        "unplug": {"change": {"supply": "removed"}, "minutes": 1, "do": "Unplug it."},
    },
}


def barred(until: Any, *, prove: list[str], **changes: Any) -> Walk:
    """A walk on which the resistance was told short, so that no power is allowed."""
    short = {"bars": {"supply": "powered"}, **({"until": until} if until else {})}
    data = {
        "id": "barred",
        "unlisted": 0.02,
        "symptoms": {"dark": {"seen": {"needs": {"supply": "powered"}}}},
        "bench": BENCH,
        "causes": {"a": {"leads_to": {"dark": 1}}, "b": {"leads_to": {"dark": 1}}},
        "measurements": {
            "ohms": {
                "outcomes": {"short": short, "sound": {}},
                "reads": [{"when": "a", "gives": {"short": 1}}, {"otherwise": {"sound": 1}}],
            },
            "ohms_check": {},
        },
        "repairs": {
            "fix": {"minutes": 5, "fixes": {"a": 1}, "prove": prove},
            "live_fix": {"minutes": 5, "fixes": {"b": 1}, "needs": {"supply": "powered"}, "prove": ["seen"]},
        },
        "refer": {"minutes": 300},
        "always_first": ["ohms"],
        **changes,
    }
    walk = Walk(build_pack(data, files={}, content_hash=""))
    walk.ask()
    walk.tell("ohms", "short")
    return walk


def test_a_check_of_the_proof_lifts_the_bar() -> None:
    walk = barred({"ohms_check": "passed"}, prove=["ohms_check", "seen"])
    assert walk.ask().id == "fix"
    walk.tell("fix", "done")
    assert walk.ask().id == "ohms_check"
    walk.tell("ohms_check", "passed")
    assert walk.ask().id == "seen"
    assert [move.id for move in walk.ask().moves] == ["plug"]


def test_a_failed_check_keeps_the_bar() -> None:
    walk = barred({"ohms_check": "passed"}, prove=["ohms_check", "seen"])
    walk.tell("fix", "done")
    walk.tell("ohms_check", "failed")
    ask = walk.ask()
    assert ask.id not in ("seen", "live_fix")
    assert all(move.id != "plug" for move in ask.moves)


@pytest.mark.parametrize("refer", [{"minutes": 300}, None])
def test_a_bar_for_the_whole_job_leaves_out_what_needs_power(refer: dict[str, Any] | None) -> None:
    """Without `until` it holds on this job; a repair whose success nobody could see is not offered either."""
    walk = barred(None, prove=["seen"], refer=refer)
    ask = walk.ask()
    assert ask.id not in ("live_fix", "seen")
    assert ask.kind in ("refer", "done")


def test_the_reading_itself_told_anew_after_the_repair_lifts_the_bar() -> None:
    """The short is mended, the same reading is taken again, and only then is there power."""
    walk = barred({"ohms": "sound"}, prove=["seen"])
    assert walk.ask().id == "fix"
    walk.tell("fix", "done")
    assert walk.ask().id == "ohms"
    walk.tell("ohms", "sound")
    assert walk.ask().id == "seen"
    assert [move.id for move in walk.ask().moves] == ["plug"]


def test_the_reading_told_short_again_keeps_the_bar() -> None:
    walk = barred({"ohms": "sound"}, prove=["seen"])
    walk.tell("fix", "done")
    walk.tell("ohms", "short")
    ask = walk.ask()
    assert ask.id not in ("seen", "ohms", "live_fix")
    assert all(move.id != "plug" for move in ask.moves)
