"""Every number of a pack is found, with its place, its kind and the source that covers it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from nextprobe.pack.load import load_pack, load_shop
from nextprobe.pack.numbers import Number, by_kind, by_status, estimate_share, numbers, pack_date
from nextprobe.pack.numbers_found import found_in, source_of
from nextprobe.pack.pack import Pack
from nextprobe.pack.validate import check_pack
from nextprobe.resources import bundled_packs, packs_dir

SOUND = Path(__file__).parent / "sound" / "pack.yaml"


def of(pack: Pack) -> dict[str, Number]:
    return {one.shown: one for one in numbers(pack)}


def written(tmp_path: Path, old: str, new: str) -> Pack:
    text = SOUND.read_text("utf-8")
    assert old in text
    path = tmp_path / "pack.yaml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return load_pack(path)


def figures_in(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every plain number of a pack's data by another way: all that is an int or a float, wherever it stands."""
    if isinstance(data, dict):
        return [found for key, value in data.items() for found in figures_in(value, (*path, key))]
    if isinstance(data, list):
        return [found for index, value in enumerate(data) for found in figures_in(value, (*path, index))]
    return [path] if isinstance(data, (int, float)) and not isinstance(data, bool) else []


@pytest.mark.parametrize("id_", bundled_packs())
def test_no_number_is_left_out(id_: str) -> None:
    data = load_pack(id_).data
    elsewhere = {"format", "at", "sketch", "doubt"}
    plain = {path for path in figures_in(data) if not elsewhere & set(path) and path[0] != "board_sheet"}
    assert plain - {one.path for one in found_in(data)} == set()


@pytest.mark.parametrize("id_", bundled_packs())
def test_a_number_stands_where_it_is_said_to_stand(id_: str) -> None:
    pack = load_pack(id_)
    for one in numbers(pack):
        line = pack.files[one.file].splitlines()[one.line - 1]
        assert str(one.value).split()[0].rstrip("0").rstrip(".") in line[one.column - 1 :]


def test_kind_place_and_source_of_each_sort_of_number() -> None:
    found = of(load_pack(SOUND))
    weight = found["causes.regulator.weight"]
    text = SOUND.read_text("utf-8").splitlines()
    assert text[weight.line - 1][weight.column - 1 :] == "2"
    assert (weight.value, weight.kind, weight.status, weight.doubt, weight.own) == (2, "weight", "estimate", 2, False)
    kinds = {shown: one.kind for shown, one in found.items()}
    assert kinds["causes.cable_loose.leads_to.lamp_off"] == "arc"
    assert kinds["measurements.look.reads[0].gives.loose"] == "likelihood"
    assert kinds["measurements.look.reads[1].otherwise.burnt"] == "likelihood"
    assert kinds["measurements.rail.outcomes.normal.range.small"] == "range"
    assert kinds["measurements.half_rail.outcomes.normal.share"] == "share"
    assert kinds["history.recent_drop.base"] == "base"
    assert kinds["history.recent_drop.raises.cable_loose"] == "raises"
    assert kinds["bench.moves.plug.minutes"] == "minutes"
    assert kinds["symptoms.dark.seen.minutes"] == "minutes"
    assert kinds["measurements.load_run.wait"] == "wait"
    assert kinds["repairs.replace_regulator.risk"] == "risk"
    assert kinds["repairs.replace_regulator.fixes.regulator"] == "fixes"
    assert kinds["refer.parts"] == "parts"
    assert kinds["economics.wait_cap"] == "economics"
    assert kinds["instruments.multimeter.accuracy.voltage"] == "meter"
    # Ranges whose ends are but other outcomes hold no figure.
    assert "measurements.rail.outcomes.low.range" not in found


def test_the_nearest_source_counts_and_its_doubt_is_the_packs_where_it_states_none(tmp_path: Path) -> None:
    found = of(
        written(
            tmp_path,
            "    weight: 2\n",
            "    weight: 2\n    source: {kind: practice, note: repair counts}\n",
        )
    )
    weight = found["causes.regulator.weight"]
    assert (weight.status, weight.doubt, weight.own) == ("practice", 2, True)
    assert found["causes.cable_loose.weight"].status == "estimate"


def test_a_standard_is_held_to_be_right(tmp_path: Path) -> None:
    pack = written(tmp_path, "low: {range: absent", "low: {source: {kind: standard, ref: IEC 62680-1-2}, range: absent")
    assert of(pack)["measurements.rail.outcomes.normal.range.small"].status == "estimate"
    absent = "absent: {range: below 0.2 V"
    pack = written(tmp_path, absent, "absent: {source: {kind: standard, ref: IEC 62680-1-2}, range: below 0.2 V")
    limit = of(pack)["measurements.rail.outcomes.absent.range"]
    assert limit.source is not None
    assert (limit.status, limit.doubt, limit.source.ref) == ("standard", 1, "IEC 62680-1-2")


def test_the_source_of_a_measurement_is_no_source_of_the_chances_in_its_rules(tmp_path: Path) -> None:
    pack = written(tmp_path, "    title: Supply of the lamp\n", "    source: {kind: handbook, ref: A handbook}\n")
    found = of(pack)
    assert found["measurements.rail.minutes"].status == "estimate"  # no handbook knows this bench
    assert found["measurements.rail.outcomes.absent.range"].status == "handbook"
    assert found["measurements.rail.reads[0].gives.absent"].status == "estimate"
    pack = written(tmp_path, "    title: Supply of the lamp\n", "    source: {kind: records}\n")
    assert of(pack)["measurements.rail.minutes"].status == "records"
    rule = "- {when: rail_missing, gives: {absent: 0.9, low: 0.1}}"
    pack = written(tmp_path, rule, rule.replace("}}", "}, source: {kind: records}}"))
    assert of(pack)["measurements.rail.reads[0].gives.absent"].status == "records"


def test_nobody_says_from_where(tmp_path: Path) -> None:
    pack = written(tmp_path, "source: {kind: estimate, doubt: 2, note: invented}\n", "")
    found = numbers(pack)
    assert {one.status for one in found} == {"none"}
    assert by_status(found) == {"none": len(found)}
    assert estimate_share(pack) == estimate_share(found) == 1.0
    assert source_of(pack.data, ("causes", "regulator", "weight")) is None
    codes = [one.code for one in check_pack(tmp_path / "pack.yaml").findings]
    assert codes == ["NP336"]


def test_the_share_of_estimates_by_count(tmp_path: Path) -> None:
    pack = written(tmp_path, "    weight: 2\n", "    weight: 2\n    source: {kind: records}\n")
    found = numbers(pack)
    # The weight and the one arc of that cause were counted by somebody; all else is an estimate.
    assert by_status(found) == {"records": 2, "estimate": len(found) - 2}
    assert estimate_share(pack) == pytest.approx(1 - 2 / len(found), abs=1e-15)
    assert sum(by_kind(found).values()) == len(found)


def test_a_board_sheet_puts_its_numbers_and_their_source_in_the_place_of_the_packs() -> None:
    found = of(load_pack("no-picture", "brindle-14"))
    loss = found["economics.loss"]
    assert Path(loss.file).name == "brindle-14.yaml"
    assert "loss: 1200" in (packs_dir() / "boards" / "brindle-14.yaml").read_text("utf-8").splitlines()[loss.line - 1]
    assert Path(found["economics.wait_cap"].file).name == "pack.yaml"
    assert any(one.kind == "good" and one.file == loss.file for one in found.values())
    plain = of(load_pack("no-picture"))["economics.loss"]
    assert Path(plain.file).name == "pack.yaml"


def test_what_a_shop_charges_is_the_shops_own(tmp_path: Path) -> None:
    file = tmp_path / "shop.yaml"
    file.write_text("format: 1\nlabour_per_hour: 45\n", encoding="utf-8")
    pack = load_pack(SOUND, shop=load_shop(file))
    found = of(pack)
    rate = found["economics.labour_per_hour"]
    assert (rate.value, rate.status, rate.doubt, rate.file) == (45, "records", 1, "shop")
    assert found["economics.loss"].status == "estimate"
    assert estimate_share(pack) == estimate_share(found.values()) < 1


@pytest.mark.parametrize("id_", bundled_packs())
def test_the_page_of_a_pack_says_its_date_and_the_share_of_estimates(id_: str) -> None:
    pack = load_pack(id_)
    page = (packs_dir() / id_ / "README.md").read_text("utf-8")
    said = re.search(r"(\d+) in 100 are\s+estimates", page)
    assert said is not None, "the page says: … in 100 are estimates"
    assert int(said[1]) == round(100 * estimate_share(pack))
    assert pack_date(pack)
    assert pack_date(pack) in page
