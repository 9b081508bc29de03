"""Stores as released versions wrote them. What stands here never changes: it is what lies on people's disks."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

from nextprobe.record.events import genesis, make_event

JOB = "2026-03-09-dk4t"

# As sqlite_master shows it in a file of the first release.
LAYOUT_1 = """
CREATE TABLE packs (hash TEXT PRIMARY KEY, id TEXT NOT NULL, text TEXT NOT NULL);
CREATE TABLE jobs (id TEXT PRIMARY KEY, opened TEXT NOT NULL, pack_id TEXT NOT NULL, pack_hash TEXT NOT NULL REFERENCES packs (hash), board TEXT NOT NULL, symptom TEXT NOT NULL, state TEXT NOT NULL CHECK (state IN ('open', 'ended')), ending TEXT NOT NULL, events INTEGER NOT NULL, head TEXT NOT NULL);
CREATE TABLE events (job TEXT NOT NULL REFERENCES jobs (id), seq INTEGER NOT NULL, at TEXT NOT NULL, kind TEXT NOT NULL, data TEXT NOT NULL, hash TEXT NOT NULL, PRIMARY KEY (job, seq));
CREATE TABLE people (job TEXT NOT NULL REFERENCES jobs (id), role TEXT NOT NULL, name TEXT NOT NULL, PRIMARY KEY (job, role));
PRAGMA application_id = 1313886786;
PRAGMA user_version = 1;
"""  # noqa: E501


def rows() -> dict[str, list[tuple[object, ...]]]:
    """What the first release wrote for one open job with two events."""
    first = make_event(genesis(JOB), 1, "2026-03-09T10:00:00.000Z", "started", {"pack": "no-picture"})
    second = make_event(first.hash, 2, "2026-03-09T10:01:00.000Z", "told", {"ask": "memory_main", "told": "1.19 V"})
    return {
        "packs": [("ab" * 32, "no-picture", "id: no-picture\n")],
        "jobs": [
            (
                *(JOB, "2026-03-09T09:59:00.000Z", "no-picture", "ab" * 32, "tansy-12", "no_picture", "open", ""),
                *(2, second.hash),
            )
        ],
        "events": [(JOB, e.seq, e.at, e.kind, json.dumps(e.data), e.hash) for e in (first, second)],
        "people": [(JOB, "technician", "Mira Tolland")],
    }


def write_layout_1(file: Path) -> None:
    """A file as the first release left it."""
    with closing(sqlite3.connect(file)) as db, db:
        db.executescript(LAYOUT_1)
        for table, values in rows().items():
            db.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * len(values[0]))})", values)
