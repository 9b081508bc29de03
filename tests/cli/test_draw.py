"""The command line of ``nextprobe draw``."""

from __future__ import annotations

from pathlib import Path

import pytest

from nextprobe.cli.main import main


@pytest.mark.parametrize("name", ["x.svg", "x.html"])
def test_draws_a_pack_and_a_part_of_it(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / name
    assert main(["draw", "dynamo-light", str(file)]) == 0
    assert "Drawn" in capsys.readouterr().out
    whole = file.read_text(encoding="utf-8")
    assert main(["draw", "dynamo-light", str(file), "--about", "dynamo_silent"]) == 0
    part = file.read_text(encoding="utf-8")
    assert 'class="arc"' in whole
    assert 0 < part.count('class="arc"') < whole.count('class="arc"')
    assert 'class="arc reading"' in part


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["dynamo-light", "x.png"], "ends neither in"),
        (["dynamo-light", "no_such_folder/x.svg"], "cannot be written"),
        (["dynamo-light", "x\0.svg"], "No file can be called"),
        (["dynamo-light", "x.svg", "--about", "dynamo_silnt"], "Did you mean `dynamo_silent`?"),
        (["no-such-pack", "x.svg"], "no-such-pack"),
    ],
)
def test_bad_input_gives_one_message(
    arguments: list[str], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["draw", *arguments]) in (1, 2)
    error = capsys.readouterr().err
    assert said in error
    assert "Traceback" not in error
    assert not list(tmp_path.iterdir())


CYCLE = """\
format: 1
id: round
title: Round
version: 1.0.0
symptoms: {dark: {title: Dark, seen: {minutes: 1}}}
effects:
  one: {title: One, leads_to: {two: 1, dark: 1}}
  two: {title: Two, leads_to: {one: 1}}
causes: {worn: {title: Worn, weight: 1, leads_to: {one: 1}}}
measurements:
  look: {title: Look, how: Look., minutes: 1, outcomes: {bad: {say: Bad}, good: {say: Good}},
    reads: [{when: one, gives: {bad: 1}}, {otherwise: {good: 1}}]}
repairs: {swap: {title: Swap, minutes: 1, fixes: {worn: 1}, prove: [seen]}}
"""


def test_cycles_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "pack.yaml").write_text(CYCLE, encoding="utf-8")
    assert main(["draw", str(tmp_path), str(tmp_path / "x.svg")]) in (1, 2)
    assert "lead to each other" in capsys.readouterr().err
    assert not (tmp_path / "x.svg").exists()
