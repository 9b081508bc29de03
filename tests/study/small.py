"""Small packs on disk: with repairs, with one cause, and one that only finds the cause; each with cases."""

from __future__ import annotations

from pathlib import Path

LAMP = """\
format: 1
id: lamp
title: Lamp stays dark
version: 1.0.0
source: {kind: estimate, doubt: 2, note: invented}
symptoms: {dark: {title: Dark, seen: {minutes: 1, how: Look.}}}
effects: {no_current: {title: No current, leads_to: {dark: 1}}}
causes:
  fuse: {title: Fuse open, weight: 2, leads_to: {no_current: 1}}
  bulb: {title: Bulb broken, weight: 1, leads_to: {dark: 1}}
  holder: {title: Holder corroded, weight: 1, leads_to: {dark: 1}}
measurements:
  current:
    title: Is there current?
    minutes: 0.5
    outcomes: {flowing: {say: It flows}, none: {say: None}}
    reads:
      - {when: no_current, gives: {none: 0.95, flowing: 0.05}}
      - {otherwise: {flowing: 0.95, none: 0.05}}
  smell:
    title: Does it smell?
    minutes: 30
    outcomes: {burnt: {say: Burnt}, clean: {say: Clean}}
    reads:
      - {otherwise: {burnt: 0.1, clean: 0.9}}
repairs:
  replace_fuse: {title: Replace the fuse, minutes: 12, fixes: {fuse: 0.95}}
  replace_bulb: {title: Replace the bulb, minutes: 15, fixes: {bulb: 0.95}}
  replace_holder: {title: Replace the holder, minutes: 25, fixes: {holder: 0.95}}
refer: {title: Quote a new lamp, minutes: 160}
"""

CASES = """\
- name: no current
  told: {current: none}
  expect: [{first: fuse}, {cause: fuse, at_least: 0.8}]
- name: led to the fuse
  answers: {cause: fuse, current: none}
  expect: [{ending: repaired}, {asked: current}]
- name: wrong on purpose
  told: {current: none}
  expect: [{first: bulb}]
- name: never asked
  answers: {cause: fuse, current: none}
  expect: [{asked: smell}]
- name: too long on purpose
  answers: {cause: bulb, current: flowing}
  expect: [{within_minutes: 3}]
"""

ONLY_FINDS = """\
format: 1
id: colour
title: Which wire is broken
version: 1.0.0
confidence: 0.9
unlisted: 0
misread: 0
symptoms: {dark: {title: Dark}}
causes:
  red: {title: Red wire, weight: 1, leads_to: {dark: 1}}
  blue: {title: Blue wire, weight: 1, leads_to: {dark: 1}}
  green: {title: Green wire, weight: 2, leads_to: {dark: 1}}
measurements:
  red_ohm: {title: Red through?, minutes: 2, outcomes: {yes_: {say: Through}, no_: {say: Open}},
    reads: [{when: red, gives: {no_: 1}}, {otherwise: {yes_: 1}}]}
"""

ONE_CAUSE = """\
format: 1
id: one
title: One thing only
version: 1.0.0
unlisted: 0
symptoms: {dark: {title: Dark, seen: {minutes: 1, how: Look.}}}
causes:
  fuse: {title: Fuse open, weight: 1, leads_to: {dark: 1}}
repairs:
  replace_fuse: {title: Replace the fuse, minutes: 12, fixes: {fuse: 1}}
refer: {title: Quote, minutes: 60}
"""


def written(folder: Path, text: str, cases: str = "") -> str:
    """The pack written into `folder`; what to call it on a command line."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "pack.yaml"
    path.write_text(text, encoding="utf-8")
    if cases:
        (folder / "cases.yaml").write_text(cases, encoding="utf-8")
    return str(path)
