"""What a first-time author writes instead of the form, and what is said to write. Common practice, no source."""

from __future__ import annotations

import pytest

from nextprobe.pack.flow_text import flow_text
from nextprobe.pack.range_meant import range_meant
from nextprobe.pack.schema import check_shape
from nextprobe.pack.source import read_yaml

HEAD = "format: 1\nid: lamp\ncauses: {fuse_open: {}}\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("repairs: {new: {fixes: fuse_open}}", "As in `fixes: {fuse_open: 0.6}`."),
        ("repairs: {new: {fixes: [fuse_open, wire_open]}}", "As in `fixes: {fuse_open: 0.6, wire_open: 0.6}`."),
        ("repairs: {new: {fixes: [Fuse open]}}", "As in `fixes: {processor_joint: 0.6}`."),
        ("effects: {out: {leads_to: dark}}", "As in `leads_to: {dark: 0.97}`."),
        ("measurements: {look: {outcomes: {dark: It is dark}}}", "As in `dark: {say: It is dark}`."),
        ("measurements: {look: {outcomes: {dark: [a]}}}", "As in `dark: {say: It follows the key}`."),
        ("measurements: {look: {hazards: esd}}", "Put it into brackets: `hazards: [esd]`."),
        ("measurements: {look: {needs: supply powered}}", "As in `needs: {supply: powered}`."),
        ("measurements: {look: {needs: Supply}}", "Write it in lower_snake_case"),
        ("measurements: {look: {needs: [supply]}}", "As in `needs: {supply: powered}`."),
        ("measurements: {look: {only_if: socketed}}", "As in `only_if: {memory: [socketed, both]}`."),
        ("measurements: {look: {reads: [{when: a or b, gives: {x: 1}}]}}", "`when: [channel_a_dead, channel_b_dead]`."),
        ("measurements: {look: {reads: [{when: a, b, gives: {x: 1}}]}}", "a list stands in [ ]"),
        ("measurements: {look: {how: Lift it, turn it}}", "put the whole text into quotes"),
        ("bench: {conditions: {lid: [shut, open]}}", "As in `lid: {values: [fitted, removed], start: fitted}`."),
        ("repairs: {new: {risk: 1 %}}", "Write 0.01 for 1 %."),
        ("repairs: {new: {risk: 2.5%}}", "Write 0.025 for 2.5 %."),
        ("causes: {wire: {weight: 25 %}}", "Write a plain number"),
        ("history: {old: {base: 0.1, raises: {fuse_open: often}}}", "2 is twice as often"),
    ],
)
def test_the_cure_is_what_to_write(text: str, said: str) -> None:
    source = read_yaml("pack.yaml", text if text.startswith("causes") else HEAD + text + "\n")
    findings, _ = check_shape(source, "pack")
    assert said in " ".join(one.help for one in findings if one.code != "NP202")


@pytest.mark.parametrize(
    ("text", "quantity", "meant"),
    [
        ("20 - 25 ohm", "resistance", "20 ohm .. 25 ohm"),
        ("20-25 ohm", "resistance", "20 ohm .. 25 ohm"),
        ("20..25 ohm", "resistance", "20 ohm .. 25 ohm"),
        ("20 ohm to 1 kohm", "resistance", "20 ohm .. 1 kohm"),
        ("1,5 – 2 V", "voltage", "1.5 V .. 2 V"),
        ("-5 - 5 V", "voltage", "-5 V .. 5 V"),
        ("> 60 ohm", "resistance", "above 60 ohm"),
        ("<=60 ohm", "resistance", "below 60 ohm"),
        ("up to 60 ohm", "resistance", "below 60 ohm"),
        ("25 - 20 ohm", "resistance", ""),
        ("20 - 25 V", "resistance", ""),
        ("20 - 25", "resistance", ""),
        ("about 20 ohm", "resistance", ""),
        ("> 60 ohm", None, ""),
        ("", "resistance", ""),
    ],
)
def test_a_range_as_people_write_it(text: str, quantity: str | None, meant: str) -> None:
    assert range_meant(text, quantity) == meant


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ({"supply": ["standby", "powered"]}, "{supply: [standby, powered]}"),
        ({"voltage": "0.5 % + 3 counts"}, "{voltage: 0.5 % + 3 counts}"),
        ({"say": "Lift it, turn it"}, '{say: "Lift it, turn it"}'),
        ({"version": "1.0", "may_lack": True}, '{version: "1.0", may_lack: true}'),
        (["no"], '["no"]'),
    ],
)
def test_a_value_inside_a_line(value: object, text: str) -> None:
    assert flow_text(value) == text
    source = read_yaml("line.yaml", f"a: {text}\n")
    assert (source.data, source.findings) == ({"a": value}, [])


def test_an_indent_too_deep_is_no_second_colon() -> None:
    (deep,) = read_yaml("pack.yaml", "look:\n  title: Look\n    minutes: 1\n").findings
    assert (deep.code, deep.line) == ("NP106", 3)
    assert "indented deeper" in deep.message
    (second,) = read_yaml("pack.yaml", "look:\n  title: Look\n  say: Note: gloves\n").findings
    assert (second.code, second.line) == ("NP106", 3)
    assert "second colon" in second.message
