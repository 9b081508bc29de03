"""Line mode can do what the screens can: one word for each action. The house's own promise, no source."""

from __future__ import annotations

from nextprobe.cli.line_mode import WORDS
from nextprobe.cli.rehearse_lines import OWN_WORDS
from nextprobe_tui.actions import BENCH, REHEARSAL, acts_at

#: What only a screen needs: its colours, the way back to the step, and scrolling.
SCREEN_ONLY = {"light", "back", "up", "down"}
#: What only lines need: the step once more, which a screen never loses.
LINES_ONLY = {"again"}


def test_every_action_of_the_bench_has_its_word_in_line_mode_and_the_other_way_round() -> None:
    lines = {word.split(" ")[0] for word in WORDS}
    screens = {act.word for act in acts_at(BENCH)}
    assert screens - lines == SCREEN_ONLY
    assert lines - screens == LINES_ONLY


def test_a_rehearsal_has_the_same_words_too() -> None:
    lines = {word.split(" ")[0] for word in OWN_WORDS}
    screens = {act.word for act in acts_at(REHEARSAL)}
    assert screens <= lines
    assert lines - screens == {"find"}  # on the screens `do` lists what there is, and picks from it
