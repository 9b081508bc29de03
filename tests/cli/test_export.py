"""``nextprobe export``: printed, or written where one says; what cannot be done is one clear message."""

from __future__ import annotations

from pathlib import Path

import pytest

from nextprobe.cli.main import main


def test_it_prints(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", "dynamo-light", "--to", "bif"]) == 0
    out = capsys.readouterr().out
    assert "network dynamo-light {" in out
    assert "probability ( rear_light | rule_of_rear_light ) {" in out


def test_it_writes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "light.bif"
    assert main(["export", "dynamo-light", "--to", "bif", "-o", str(path)]) == 0
    assert capsys.readouterr().out == f"Written: {path}\n"
    assert path.read_text(encoding="utf-8").startswith("// Dynamo turns")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["dynamo-light"], "--to"),
        (["dynamo-light", "--to", "xml"], "invalid choice"),
        (["no-pack-of-this-name", "--to", "bif"], "There is no pack"),
        (["dynamo-light", "--to", "bif", "--symptom", "no_picture"], "no symptom"),
        (["dynamo-light", "--to", "bif", "-o", "no/such/folder/x.bif"], "cannot be written"),
        (["dynamo-light", "--to", "bif", "-o", "a\0b"], "No file can be called"),
    ],
)
def test_what_cannot_be_done_is_said(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", *arguments]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
