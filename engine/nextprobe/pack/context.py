"""What the rules for meaning look at: the data of a pack with its marks, and indexes over it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from typing import Any, NamedTuple, TypeVar, cast

from nextprobe.pack.compose import BLOCKS
from nextprobe.pack.marks import Mark, Path, Source
from nextprobe.pack.walkers import Told, keys, told_first, when_words, words

Row = Mapping[str, Any]
Found = TypeVar("Found")


class Note(NamedTuple):
    """What a rule has to say; the registry adds its code, severity and the place in the file."""

    path: Path
    message: str
    cure: str
    of_key: bool = False


class Entry(NamedTuple):
    """One entry of a block."""

    id: str
    row: Row
    path: Path


#: The kind of the entries of each block, as a person calls it.
KIND_OF_BLOCK = {
    "options": "option",
    "history": "history fact",
    "instruments": "instrument",
    "skills": "skill",
    "hazards": "hazard",
    "symptoms": "symptom",
    "effects": "effect",
    "causes": "cause",
    "measurements": "measurement",
    "repairs": "repair",
    "stops": "stop",
    "remarks": "remark",
}
BENCH_KINDS = {"conditions": "condition", "states": "bench state", "moves": "move"}
CHECK_OUTCOMES = ("passed", "failed")
REPAIR_OUTCOMES = ("gone", "still", "done", "ruined", "given_up")
HISTORY_OUTCOMES = ("reported", "denied", "not_known")


class Context:
    """A pack as the rules see it. `data` is shape-checked: misshapen parts are left out."""

    def __init__(self, source: Source, data: Any) -> None:
        self.source = source
        self.data: Row = data if isinstance(data, Mapping) else {}
        self._once: dict[str, Any] = {}

    def once(self, name: str, make: Callable[[], Found]) -> Found:
        """What `make` gives, made at the first call under this `name` only: many rules ask for the same."""
        if name not in self._once:
            self._once[name] = make()
        return cast(Found, self._once[name])

    def block(self, name: str) -> Row:
        """The entries of a block by id; empty where there is none."""
        found = self.data.get(name)
        return found if isinstance(found, Mapping) else {}

    def entries(self, name: str) -> Iterator[Entry]:
        """The entries of a block."""
        rows = self.block(name).items()
        return iter(
            self.once(name, lambda: [Entry(key, row, (name, key)) for key, row in rows if isinstance(row, dict)])
        )

    @cached_property
    def bench(self) -> Row:
        """The bench block."""
        return self.block("bench")

    def bench_entries(self, name: str) -> Iterator[Entry]:
        """The entries of a block of the bench."""
        found = self.bench.get(name)
        if isinstance(found, Mapping):
            for key, row in found.items():
                if isinstance(row, Mapping):
                    yield Entry(key, row, ("bench", name, key))

    @cached_property
    def ids(self) -> dict[str, list[tuple[str, Path]]]:
        """Every id of the pack -> the kinds it has (one, in a sound pack) with their places."""
        found: dict[str, list[tuple[str, Path]]] = {}
        raw = self.source.data if isinstance(self.source.data, Mapping) else {}
        for block in BLOCKS:
            entries = raw.get(block)
            for key in entries if isinstance(entries, Mapping) else ():
                kind = KIND_OF_BLOCK[block]
                if kind == "measurement" and self.is_check(key):
                    kind = "check"
                found.setdefault(key, []).append((kind, (block, key)))
        bench = raw.get("bench")
        for block, kind in BENCH_KINDS.items():
            entries = bench.get(block) if isinstance(bench, Mapping) else None
            for key in entries if isinstance(entries, Mapping) else ():
                found.setdefault(key, []).append((kind, ("bench", block, key)))
        return found

    def kinds(self, id_: str) -> tuple[str, ...]:
        """The kinds of `id_`; empty where nobody knows it."""
        return tuple(kind for kind, _ in self.ids.get(id_, ()))

    def known(self, *kinds: str) -> list[str]:
        """All ids of these kinds."""
        return [id_ for id_, found in self.ids.items() if any(kind in kinds for kind, _ in found)]

    def raw(self, block: str, id_: str) -> Row:
        """An entry as it stands in the file, misshapen parts and all; only its keys may be trusted."""
        entries = self.source.data.get(block) if isinstance(self.source.data, Mapping) else None
        row = entries.get(id_) if isinstance(entries, Mapping) else None
        return row if isinstance(row, Mapping) else {}

    def has(self, block: str, id_: str, key: str) -> bool:
        """Whether an entry has `key`, if only misshapen or misspelt."""
        return key in self.raw(block, id_) or (block, id_, key) in self.source.misspelt

    def is_check(self, id_: str) -> bool:
        """Whether a measurement has no rules."""
        return not self.has("measurements", id_, "reads")

    def outcomes_of(self, id_: str) -> tuple[str, ...] | None:
        """What `id_` can be told as; None where it cannot be told at all."""
        for kind in self.kinds(id_):
            if kind == "measurement":
                outcomes = self.raw("measurements", id_).get("outcomes")
                return tuple(outcomes) if isinstance(outcomes, Mapping) else ()
            if kind == "check":
                return CHECK_OUTCOMES
            if kind == "repair":
                return REPAIR_OUTCOMES
            if kind == "history fact":
                return HISTORY_OUTCOMES
            if kind == "option":
                return tuple(word.text for word in words(self.block("options").get(id_, {}).get("values"), ()))
        return None

    @cached_property
    def option_values(self) -> dict[str, list[str]]:
        """Option -> its values."""
        return {one.id: [word.text for word in words(one.row.get("values"), ())] for one in self.entries("options")}

    @cached_property
    def condition_values(self) -> dict[str, list[str]]:
        """Condition of the bench -> its values."""
        return {
            one.id: [word.text for word in words(one.row.get("values"), ())] for one in self.bench_entries("conditions")
        }

    @cached_property
    def read_ids(self) -> set[str]:
        """Every effect and cause that a rule names."""
        found = set()
        for entry in self.entries("measurements"):
            reads = entry.row.get("reads")
            for rule in reads if isinstance(reads, list) else ():
                if isinstance(rule, Mapping):
                    found |= {word.text for word in when_words(rule.get("when"), ())}
        return found

    def mark(self, path: Path, *, of_key: bool = False) -> Mark:
        """The place of `path` in the files."""
        return self.source.mark(path, of_key=of_key)

    def after(self, entry: Entry) -> list[Told]:
        """The `after` of an entry."""
        return list(told_first(entry.row.get("after"), (*entry.path, "after")))

    def steps(self) -> Iterator[Entry]:
        """Measurements, repairs and moves: all that costs minutes and can have needs and `after`."""
        yield from self.entries("measurements")
        yield from self.entries("repairs")
        yield from self.bench_entries("moves")

    def arcs(self) -> Iterator[tuple[Entry, str]]:
        """Every arc: the entry it leaves, the id it goes to."""
        for block in ("causes", "effects"):
            for entry in self.entries(block):
                for word in keys(entry.row.get("leads_to"), ()):
                    yield entry, word.text
