"""Writing into a pack: the numbers change with their source, nothing else does, and twice is as once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nextprobe import resources
from nextprobe.errors import UsageError
from nextprobe.learn.before import before_records
from nextprobe.learn.gather import gather
from nextprobe.learn.learn import learn
from nextprobe.learn.write import figure, write_learned
from nextprobe.learn.yaml_edit import YamlText, flow
from nextprobe.pack.format_files import lay_out, write
from nextprobe.pack.load import load_pack
from nextprobe.pack.numbers import numbers
from nextprobe.pack.source import read_yaml
from nextprobe.pack.validate import check_any
from tests.learn.workshop import BULB, CAUSES, FUSE, PACK, QUOTED, lead, pack_folder, store_in


def written_once(tmp_path: Path) -> Path:
    folder = pack_folder(tmp_path)
    with store_in(tmp_path) as store:
        for told in (BULB, BULB, BULB, FUSE, QUOTED):
            lead(store, folder, told, took=4.0)
        pack = load_pack(folder)
        write_learned(str(folder), learn(pack, gather(store, pack)))
    return folder


def test_the_numbers_stand_there_with_their_source(tmp_path: Path) -> None:
    folder = written_once(tmp_path)
    pack = load_pack(folder)
    assert pack.causes["bulb"].weight > 1
    assert pack.causes["fuse"].weight < 2
    rows = {one.shown: one for one in numbers(pack)}
    assert rows["causes.bulb.weight"].status == "records"
    assert rows["repairs.replace_bulb.minutes"].status == "records"
    # What the records do not speak of keeps the source that it had.
    assert rows["causes.bulb.leads_to.dark"].status == "estimate"
    assert rows["measurements.current.minutes"].status == "records"
    assert rows["measurements.current.reads[0].gives.none"].status == "estimate"
    assert rows["confidence"].status == "estimate" if "confidence" in rows else True
    source = pack.data["causes"]["bulb"]["source"]
    assert source["jobs"] == 5
    assert (source["from"], source["to"]) == ("2026-03-01", "2026-03-02")
    assert source["before"] == {"weight": 1}
    assert pack.data["measurements"]["current"]["source"]["rest"] == {"kind": "practice", "note": "the trade"}
    assert pack.data["source"]["rest"] == {"kind": "estimate", "doubt": 2, "note": "invented"}


def test_comments_order_and_all_else_stay(tmp_path: Path) -> None:
    folder = written_once(tmp_path)
    for name, before in (("pack.yaml", PACK), ("causes.yaml", CAUSES)):
        after = (folder / name).read_text(encoding="utf-8")
        assert re.findall(r"#.*", after) == re.findall(r"#.*", before)
        assert _bare(after) == _bare(before)


def _bare(text: str) -> list[str]:
    """The text without sources and without the figures of what is learnt."""
    lines = [_without_source(line).rstrip() for line in text.splitlines()]
    figures = re.compile(r"((?:weight|minutes|unlisted|bulb|fuse): )[0-9.]+( min)?")
    figured = [figures.sub(r"\1N", line) for line in lines]
    return [line for line in figured if line.strip() and not re.fullmatch(r"\s*(  )?#.*", line)]


def _without_source(line: str) -> str:
    begin = line.find("source: {")
    if begin < 0:
        return line
    end = begin + len("source: {")
    while line[begin:end].count("{") > line[begin:end].count("}"):
        end += 1
    return line[:begin].removesuffix(", ") + line[end:]


def test_it_is_still_sound(tmp_path: Path) -> None:
    checked = check_any(written_once(tmp_path) / "pack.yaml")
    assert not [one for one in checked.findings if one.severity == "error"]


def test_twice_is_as_once(tmp_path: Path) -> None:
    folder = written_once(tmp_path)
    texts = {file.name: file.read_text(encoding="utf-8") for file in folder.iterdir()}
    with store_in(tmp_path) as store:
        pack = before_records(load_pack(folder))
        assert pack.causes["bulb"].weight == 1
        assert pack.unlisted == 0.02
        assert pack.repairs["replace_bulb"].minutes == 15
        written = write_learned(str(folder), learn(pack, gather(store, pack)))
    assert written.files == ()
    assert {file.name: file.read_text(encoding="utf-8") for file in folder.iterdir()} == texts


def test_more_jobs_later_start_from_what_stood_before_all_records(tmp_path: Path) -> None:
    """Learnt in two turns or in one: the same numbers."""
    folder = written_once(tmp_path)
    with store_in(tmp_path) as store:
        store._clock.hours = 40  # type: ignore[attr-defined]
        for told in (FUSE, FUSE):
            lead(store, folder, told)
        pack = before_records(load_pack(folder))
        write_learned(str(folder), learn(pack, gather(store, pack)))
        twice = load_pack(folder)
        other = tmp_path / "at_once"
        other.mkdir()
        fresh = pack_folder(other)
        pack = load_pack(fresh)
        write_learned(str(fresh), learn(pack, gather(store, pack)))
    once = load_pack(fresh)
    assert {key: one.weight for key, one in twice.causes.items()} == {
        key: one.weight for key, one in once.causes.items()
    }
    assert twice.data["causes"]["fuse"]["source"] == once.data["causes"]["fuse"]["source"]


def test_what_other_packs_share_is_not_touched(tmp_path: Path) -> None:
    folder = pack_folder(tmp_path)
    shared = tmp_path / "shared.yaml"
    (folder / "causes.yaml").rename(shared)
    text = (folder / "pack.yaml").read_text(encoding="utf-8")
    (folder / "pack.yaml").write_text(text.replace("causes.yaml", "../shared.yaml"), encoding="utf-8")
    with store_in(tmp_path) as store:
        lead(store, folder, BULB)
        pack = load_pack(folder)
        written = write_learned(str(folder), learn(pack, gather(store, pack)))
    assert shared.read_text(encoding="utf-8") == CAUSES
    assert "shared.yaml" in written.left["causes.bulb.weight"]


def test_a_pack_of_the_installed_program_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    inside = tmp_path / "_data" / "packs"
    inside.mkdir(parents=True)
    folder = pack_folder(inside)
    with store_in(tmp_path) as store:
        lead(store, folder, BULB)
        pack = load_pack(folder)
        learned = learn(pack, gather(store, pack))
    monkeypatch.setattr(resources, "packs_dir", lambda: inside)
    with pytest.raises(UsageError, match=r"came with the program.*Copy the folder"):
        write_learned(str(folder), learned)
    assert (folder / "causes.yaml").read_text(encoding="utf-8") == CAUSES


@pytest.mark.parametrize(
    ("value", "text"),
    [(1234.5, "1234"), (12.345, "12.3"), (0.0123456, "0.0123"), (3.0, "3"), (0.5, "0.5"), (0.0, "0"), (100.0, "100")],
)
def test_three_figures(value: float, text: str) -> None:
    assert figure(value) == text


@pytest.mark.parametrize(
    "data",
    [
        {"note": "it is: so, or {not} # ever", "doubt": 1.25, "jobs": 3},
        {"note": "yes", "from": "2026-03-01", "before": {"minutes": "15 min", "fixes": {"a": 0.5}}},
        {"note": "Ωhm 'quoted' \"twice\"", "ref": "JESD79-4", "rest": {"kind": "estimate"}},
    ],
)
def test_flow_reads_back(data: dict[str, object]) -> None:
    """What is written is read as it was meant, by the project's own reader of YAML 1.2."""
    found = read_yaml(Path("a.yaml"), f"source: {flow(data)}\n", shown="a.yaml")
    assert found.data == {"source": data}
    assert not found.findings


def test_a_source_over_several_lines_is_replaced_whole() -> None:
    text = YamlText("a:\n  source:\n    kind: practice\n    note: x\n  # next\n  weight: 3\n")
    text.put_source(("a",), "{kind: records}", ("a", "weight"))
    text.put(("a", "weight"), "4")
    after = text.edited()
    assert read_yaml(Path("a.yaml"), after, shown="a.yaml").data == {"a": {"source": {"kind": "records"}, "weight": 4}}
    assert "# next" in after


def test_a_file_laid_out_anew_is_written_into_again(tmp_path: Path) -> None:
    folder = written_once(tmp_path)
    for laid in lay_out([folder / "pack.yaml"]):
        write(laid)
    with store_in(tmp_path) as store:
        store._clock.hours = 40  # type: ignore[attr-defined]
        lead(store, folder, FUSE)
        pack = before_records(load_pack(folder))
        written = write_learned(str(folder), learn(pack, gather(store, pack)))
    assert written.numbers > 0
    assert load_pack(folder).data["causes"]["fuse"]["source"]["jobs"] == 6


def test_the_source_of_the_rest_is_checked_too(tmp_path: Path) -> None:
    folder = pack_folder(tmp_path)
    text = (folder / "causes.yaml").read_text(encoding="utf-8")
    below = "source: {kind: records, jobs: 3, before: {weight: 2}, rest: {kind: standard}}"
    (folder / "causes.yaml").write_text(text.replace("weight: 1\n", f"weight: 1\n    {below}\n"), encoding="utf-8")
    found = [one for one in check_any(folder / "pack.yaml").findings if one.severity == "error"]
    assert [(one.code, one.path) for one in found] == [("NP332", "causes.bulb.source.rest")]
