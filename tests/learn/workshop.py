"""A workshop for the tests: a small pack in a folder, with comments, and a store with jobs led in it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

from nextprobe.job import start_job
from nextprobe.pack.load import load_pack
from nextprobe.record.store import Store, open_store

PACK = """\
# What this shop thinks of lamps.
format: 1
id: lamp
title: Lamp stays dark
version: 1.0.0
include: [causes.yaml]
source: {kind: estimate, doubt: 2, note: invented}  # nobody counted
unlisted: 0.02
symptoms: {dark: {title: Dark, seen: {minutes: 1, how: Look.}}}
effects: {no_current: {title: No current, leads_to: {dark: 1}}}
measurements:
  current:
    title: Is there current?
    minutes: 0.5   # quick
    source: {kind: practice, note: the trade}
    outcomes: {flowing: {say: It flows}, none: {say: None}}
    reads:
      - {when: no_current, gives: {none: 0.95, flowing: 0.05}}
      - {otherwise: {flowing: 0.95, none: 0.05}}
  volts:
    title: Volts at the holder
    quantity: voltage
    minutes: 1
    outcomes: {healthy: {range: 11 V .. 13 V}, away: {otherwise: true}}
    reads:
      - {when: no_current, gives: {away: 0.95, healthy: 0.05}}
      - {otherwise: {healthy: 0.95, away: 0.05}}
repairs:
  replace_fuse: {title: Replace the fuse, minutes: 12, fixes: {fuse: 0.95}}
  replace_bulb:
    title: Replace the bulb
    minutes: 15 min
    # one in ten new ones is bad
    fixes:
      bulb: 0.9
refer: {title: Quote a new lamp, minutes: 160}
"""

CAUSES = """\
causes:
  fuse: {title: Fuse open, weight: 2, leads_to: {no_current: 1}}  # the classic
  bulb:
    title: Bulb broken
    weight: 1
    leads_to: {dark: 1}
  # seldom
  holder: {title: Holder corroded, weight: 1, leads_to: {dark: 1}}
"""

FUSE = {"current": "none", "volts": "1 V", "replace_fuse": "gone"}
BULB = {"current": "flowing", "volts": "12.2 V", "replace_bulb": "gone"}
QUOTED = {"current": "flowing", "refer": "done"}


def pack_folder(folder: Path) -> Path:
    """The pack, written into `folder`."""
    where = folder / "lamp"
    where.mkdir()
    (where / "pack.yaml").write_text(PACK, encoding="utf-8")
    (where / "causes.yaml").write_text(CAUSES, encoding="utf-8")
    return where


class Clock:
    """One hour later each time it is asked."""

    def __init__(self) -> None:
        self.hours = 0

    def __call__(self) -> datetime:
        self.hours += 1
        return datetime(2026, 3, 1 + self.hours // 24 % 28, self.hours % 24, tzinfo=UTC)


def store_in(folder: Path) -> Store:
    """A store in a file of `folder`."""
    return open_store(f"sqlite:///{folder / 'jobs.db'}", clock=Clock())


def lead(
    store: Store, pack: str | Path, told: Mapping[str, str], *, close: bool = True, took: float | None = None
) -> str:
    """One job, told in this order whatever is asked; its id."""
    job = start_job(store, load_pack(str(pack)))
    for id_, text in told.items():
        if job.walk.proving and text == "gone":
            continue
        if text == "gone":
            job.walk.tell(id_, "done", took=took)
            job.walk.tell("seen", "gone")
        else:
            job.walk.tell(id_, text, took=took)
    if close:
        job.walk.close()
    return job.job.id
