"""Whatever bytes a file holds, checking it gives findings and never raises."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nextprobe.pack.validate import check_any, check_pack, check_sheet

SOUND = Path(__file__).parent / "sound" / "pack.yaml"
SNIPPETS = [
    b"{",
    b"}",
    b"[",
    b"]",
    b": ",
    b"- ",
    b"\n",
    b"\t",
    b"&a ",
    b"*a",
    b"<<: ",
    b"!!x ",
    b"\xff",
    b"\0",
    b"'",
    b'"',
    b"---\n",
    b"~",
    b"null",
    b"yes",
    b"0x1",
    b"-1",
    b"1e400",
    b"..",
    b"normal",
    b"? ",
    b"#",
    b"|",
    b">",
    b"\xef\xbb\xbf",
]


def mutated(raw: bytes, rng: random.Random) -> bytes:
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(raw))
        length = rng.choice([0, 1, 1, 5, 40])
        other = rng.randrange(len(raw))
        new = rng.choice([b"", rng.choice(SNIPPETS), raw[other : other + rng.randint(1, 60)]])
        raw = raw[:at] + new + raw[at + length :]
    return raw or b"x"


@pytest.mark.parametrize("seed", range(150))
def test_mutated_packs_give_findings_only(seed: int, tmp_path: Path) -> None:
    path = tmp_path / "pack.yaml"
    path.write_bytes(mutated(SOUND.read_bytes(), random.Random(seed)))
    for finding in check_pack(path).findings:
        assert finding.code.startswith("NP")
        assert finding.message


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(1000, 6000))
def test_many_mutated_packs_give_findings_only(seed: int, tmp_path: Path) -> None:
    path = tmp_path / "pack.yaml"
    path.write_bytes(mutated(SOUND.read_bytes(), random.Random(seed)))
    check_pack(path)
    check_sheet(path)


scalars = st.one_of(
    st.none(), st.booleans(), st.integers(-5, 5), st.floats(allow_nan=False, allow_infinity=False), st.text(max_size=8)
)
WORDS = [
    "format",
    "id",
    "causes",
    "effects",
    "measurements",
    "reads",
    "outcomes",
    "gives",
    "otherwise",
    "when",
    "needs",
    "bench",
    "moves",
    "conditions",
    "values",
    "only_if",
    "after",
    "repairs",
    "fixes",
    "range",
    "by",
    "x",
    "y",
    "options",
    "leads_to",
    "all",
]
trees = st.recursive(
    scalars,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(st.sampled_from(WORDS), inner, max_size=6)),
    max_leaves=40,
)


@settings(max_examples=150, deadline=None)
@given(tree=trees)
def test_any_tree_of_known_keys_gives_findings_only(tree: object, tmp_path_factory: pytest.TempPathFactory) -> None:
    import json

    path = tmp_path_factory.mktemp("tree") / "any.yaml"
    path.write_text(json.dumps(tree), "utf-8")
    check_any(path)
    check_pack(path)
    check_sheet(path)
