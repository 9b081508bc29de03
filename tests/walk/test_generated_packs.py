"""The packs that the walks are tried on are sound: `validate` finds no error in them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from ruamel.yaml import YAML

from nextprobe import load_pack
from tests.walk.packs import whole_pack


@pytest.mark.parametrize("seed", range(6))
def test_a_generated_pack_is_sound(tmp_path: Path, seed: int) -> None:
    data = whole_pack(np.random.default_rng(seed))
    folder = tmp_path / data["id"]
    folder.mkdir()
    yaml = YAML()
    yaml.representer.ignore_aliases = lambda data: True
    with (folder / "pack.yaml").open("w", encoding="utf-8") as file:
        yaml.dump(data, file)
    pack = load_pack(str(folder))
    assert set(pack.measurements) == set(data["measurements"])
