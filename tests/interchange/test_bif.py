"""The text of a network. Source: the grammar of the Interchange Format for Bayesian networks 0.15, from memory."""

from __future__ import annotations

import re

import numpy as np
import pytest

from nextprobe.interchange.bif import bif_text, word
from nextprobe.interchange.network import Network, Variable

RAIN = Variable("rain", ("no", "yes"), (), np.array([0.8, 0.2]), "Does it\nrain?")
WET = Variable("wet", ("dry", "wet"), (RAIN,), np.array([[0.9, 0.1], [1 / 3, 2 / 3]]))


def test_a_network_of_two() -> None:
    text = bif_text(Network("garden", ("By hand.",), (RAIN, WET)))
    assert text == (
        "// By hand.\nnetwork garden {\n}\n// Does it rain?\nvariable rain {\n  type discrete [ 2 ] { no, yes };\n}\n"
        "variable wet {\n  type discrete [ 2 ] { dry, wet };\n}\n"
        "probability ( rain ) {\n  table 0.8, 0.2;\n}\n"
        "probability ( wet | rain ) {\n  (no) 0.9, 0.1;\n  (yes) 0.3333333333333333, 0.6666666666666666;\n}\n"
    )


@pytest.mark.parametrize(
    ("text", "found"),
    [("dynamo-light", "dynamo-light"), ("2_bars", "_2_bars"), ("a b;c", "a_b_c"), ("", "_"), ("é", "_")],
)
def test_a_word_of_the_format(text: str, found: str) -> None:
    assert word(text) == found
    assert re.fullmatch(r"[A-Za-z_-][A-Za-z0-9_-]*", found)
