"""A pack checked again whenever one of its files is saved, and what that changed among its findings."""

from __future__ import annotations

import gc
import os
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from nextprobe.errors import Finding
from nextprobe.pack.validate import check_any
from nextprobe.pack.watch_files import Looker, State, Watched
from nextprobe.pack.watch_read import KeepingReader

#: Seconds between two looks at the files.
EVERY = 0.25


@dataclass(frozen=True, slots=True)
class Change:
    """What one save changed: findings that are new, gone and still there, each in the order of the files."""

    new: tuple[Finding, ...]
    gone: tuple[Finding, ...]
    still: tuple[Finding, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that there is to say now."""
        return self.new + self.still


class PackWatch:
    """Watches the files at `paths` with all that belongs to them: includes, cases, board sheets."""

    def __init__(self, paths: Sequence[Path], looker: Looker | None = None) -> None:
        self.paths = tuple(paths)
        self.looker = looker or Looker()
        self.reader = KeepingReader()
        self.findings: tuple[Finding, ...] = ()
        self._watched = Watched(frozenset(os.path.abspath(path) for path in self.paths))  # noqa: PTH100 - as they are read

    def changes(self) -> Iterator[Change]:
        """The state at first, then one Change a save; it waits for saves without end."""
        before = self._state_checked()
        yield Change(self.findings, (), ())
        while True:
            self.looker.sleep(EVERY)
            if self.looker.state(self._watched) == before:
                continue
            if self.looker.settled(self._watched, before) == before:
                continue  # saved as it was
            old = self.findings
            before = self._state_checked()
            yield difference(old, self.findings)

    def _state_checked(self) -> State:
        """Check everything; the state of the files before that, so that a save meanwhile is seen at the next look."""
        known = frozenset(self._watched.files)
        before = self.looker.state(self._watched)
        self._watched = self.check()
        self.looker.remember_sizes(self._watched)
        return {
            path: before[path] if path in known else state for path, state in self.looker.state(self._watched).items()
        }

    def check(self) -> Watched:
        """Check everything now, for `findings`; what that depends on."""
        # Nothing is thrown away while a check runs, so looking for what could be is time lost.
        collects = gc.isenabled()
        gc.disable()
        try:
            checked = [check_any(path, self.reader) for path in self.paths]
        finally:
            if collects:
                gc.enable()
        self.findings = tuple(dict.fromkeys(one for part in checked for one in part.findings))
        return Watched(
            frozenset(path for part in checked for path in part.inputs),
            frozenset(path for part in checked for path in part.absent),
            frozenset(folder for part in checked for folder in part.folders),
        )


def difference(old: Sequence[Finding], now: Sequence[Finding]) -> Change:
    """Which findings are new, gone and still there; one that only moved to another line is still there."""
    left = Counter(_same(one) for one in old)
    new, still = [], []
    for one in now:
        if left[_same(one)] > 0:
            left[_same(one)] -= 1
            still.append(one)
        else:
            new.append(one)
    gone = []
    for one in reversed(old):
        if left[_same(one)] > 0:
            left[_same(one)] -= 1
            gone.append(one)
    return Change(tuple(new), tuple(reversed(gone)), tuple(still))


def _same(finding: Finding) -> tuple[str, ...]:
    return (finding.code, finding.severity, finding.file, finding.path, finding.message)
