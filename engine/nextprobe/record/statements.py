"""Every SQL text of the store, in the words that SQLite and PostgreSQL share."""

from __future__ import annotations

_JOB = ("id", "opened", "pack_id", "pack_hash", "board", "symptom", "state", "ending", "events", "head")
JOB = ", ".join(_JOB)

# What each table holds, in an order in which it can be filled: what is referred to comes first.
COLUMNS: dict[str, tuple[str, ...]] = {
    "packs": ("hash", "id", "text"),
    "jobs": _JOB,
    "events": ("job", "seq", "at", "kind", "data", "hash"),
    "people": ("job", "role", "name"),
}
_KEYS = {"packs": "hash", "jobs": "id", "events": "job, seq", "people": "job, role"}


def insert(table: str) -> str:
    """The text that puts one row into `table`."""
    names = COLUMNS[table]
    return f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join(f':{name}' for name in names)})"


def select(table: str) -> str:
    """The text that reads a whole table in the order of its key."""
    return f"SELECT {', '.join(COLUMNS[table])} FROM {table} ORDER BY {_KEYS[table]}"


ADD_JOB = f"{insert('jobs')} ON CONFLICT (id) DO NOTHING"
ADD_EVENT = insert("events")
ADD_PERSON = insert("people")
KEEP_PACK = f"{insert('packs')} ON CONFLICT (hash) DO NOTHING"

JOBS = f"SELECT {JOB} FROM jobs ORDER BY opened DESC, id DESC"
ONE_JOB = f"SELECT {JOB} FROM jobs WHERE id = :id"
JOBS_LIKE = (
    f"SELECT {JOB} FROM jobs WHERE id LIKE :start ESCAPE '!' OR id LIKE :finish ESCAPE '!' "
    "ORDER BY opened DESC, id DESC"
)
SOME_IDS = "SELECT id FROM jobs ORDER BY opened DESC, id DESC LIMIT 2000"
TWO_IDS = "SELECT id FROM jobs LIMIT 2"
PROGRESS = (
    "SELECT e.job, SUM(CASE e.kind WHEN 'told' THEN 1 WHEN 'skipped' THEN 1 WHEN 'undone' THEN -1 ELSE 0 END), "
    "MAX(e.at) FROM events e JOIN jobs j ON j.id = e.job WHERE j.state = 'open' GROUP BY e.job"
)
END_OF_JOB = "SELECT events, head, state FROM jobs WHERE id = :id"
LAST_EVENT = "SELECT seq, hash FROM events WHERE job = :id ORDER BY seq DESC LIMIT 1"
LAST_WHOLE = "SELECT seq, at, kind, data, hash FROM events WHERE job = :id ORDER BY seq DESC LIMIT 1"
EVENTS = "SELECT seq, at, kind, data, hash FROM events WHERE job = :id ORDER BY seq"
MOVE_END = "UPDATE jobs SET events = :events, head = :head WHERE id = :id"
SET_PACK = (
    "UPDATE jobs SET pack_id = :pack_id, pack_hash = :pack_hash, board = :board, symptom = :symptom WHERE id = :id"
)
END_JOB = "UPDATE jobs SET state = 'ended', ending = :ending WHERE id = :id"
PACK_TEXT = "SELECT text FROM packs WHERE hash = :hash"
PEOPLE = "SELECT role, name FROM people WHERE job = :id ORDER BY role"
FORGET_PERSON = "DELETE FROM people WHERE job = :id AND role = :role"
FORGET_PEOPLE = "DELETE FROM people WHERE job = :id"

LEASE = "SELECT bench, machine, process, since, until FROM leases WHERE job = :id"
LEASES = "SELECT job, bench, machine, process, since, until FROM leases ORDER BY job"
TAKE_LEASE = (
    "INSERT INTO leases (job, bench, machine, process, since, until) "
    "VALUES (:id, :bench, :machine, :process, :since, :until) "
    "ON CONFLICT (job) DO UPDATE SET bench = excluded.bench, machine = excluded.machine, "
    "process = excluded.process, since = excluded.since, until = excluded.until"
)
RENEW_LEASE = "UPDATE leases SET until = :until WHERE machine = :machine AND process = :process AND job = :id"
LET_GO = "DELETE FROM leases WHERE job = :id AND machine = :machine AND process = :process"
EMPTY = tuple(f"DELETE FROM {table}" for table in ("leases", "people", "events", "jobs", "packs"))
FREE_ALL = EMPTY[0]
