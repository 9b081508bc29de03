"""Which files changed since the last look, by content, and whether an editor is still writing them."""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

#: A file younger than this is read at every look: its time may not tell two saves apart (FAT counts in 2 s).
_YOUNG: Final = 3.0
#: Seconds without a change after which a save is over.
SETTLED: Final = 0.12
#: Seconds that a file may be away, empty or cut short before that is taken for what its author means.
PATIENCE: Final = 1.0

State = Mapping[str, bytes | tuple[str, ...] | None]


@dataclass(frozen=True, slots=True)
class Watched:
    """Files whose content matters, files that matter once they are there, folders whose list of names matters."""

    files: Collection[str] = ()
    absent: Collection[str] = ()
    folders: Collection[str] = ()


@dataclass(slots=True)
class Looker:
    """Looks at files. `now` and `sleep` are the clock's, in seconds."""

    now: Callable[[], float] = time.time
    sleep: Callable[[float], None] = time.sleep
    _seen: dict[str, tuple[tuple[int, int, int], bytes]] = field(default_factory=dict)
    _sizes: dict[str, int] = field(default_factory=dict)

    def state(self, watched: Watched) -> State:
        """What stands in the files now; None for one that is not there."""
        found: dict[str, bytes | tuple[str, ...] | None] = {path: self._content(path) for path in watched.files}
        found |= {path: b"there" if os.path.lexists(path) else None for path in watched.absent}
        found |= {path: _names(path) for path in watched.folders}
        return found

    def settled(self, watched: Watched, before: State) -> State:
        """The state once nobody writes any more: some time without a change, more where a file looks half-written."""
        since = still_since = self.now()
        state = self.state(watched)
        while True:
            quiet = self.now() - still_since
            if quiet >= SETTLED and (not self._halved(watched, before, state) or self.now() - since >= PATIENCE):
                return state
            self.sleep(SETTLED / 3)
            later = self.state(watched)
            if later != state:
                state, still_since = later, self.now()

    def remember_sizes(self, watched: Watched) -> None:
        """Take the files as they are for whole: a much shorter one may be half-written."""
        for path in watched.files:
            if path in self._seen:
                self._sizes[path] = self._seen[path][0][1]

    def _halved(self, watched: Watched, before: State, state: State) -> bool:
        """Whether a file is gone, empty or only a part of what it was, as while an editor replaces it."""
        for path in watched.files:
            if state[path] != before.get(path) and before.get(path) is not None:
                size = self._seen[path][0][1] if state[path] is not None else 0
                if size < 0.9 * self._sizes.get(path, 0):
                    return True
        return False

    def _content(self, path: str) -> bytes | None:
        try:
            found = Path(path).stat()
            key = (found.st_mtime_ns, found.st_size, found.st_ino)
            known = self._seen.get(path)
            if known is not None and known[0] == key and self.now() - found.st_mtime > _YOUNG:
                return known[1]
            digest = hashlib.sha256(Path(path).read_bytes()).digest()
        except OSError:
            return None
        self._seen[path] = (key, digest)
        return digest


def _names(folder: str) -> tuple[str, ...] | None:
    try:
        # Swap and backup files of editors come and go; only what is read as a sheet counts.
        return tuple(sorted(name for name in os.listdir(folder) if name.endswith(".yaml")))  # noqa: PTH208
    except OSError:
        return None
