"""How large a file may be. Checked on bytes and events, before anything is built from them."""

from __future__ import annotations

from typing import Final

MAX_BYTES: Final = 4_000_000
MAX_DEPTH: Final = 40
MAX_NODES: Final = 200_000
MAX_FILES: Final = 60
#: More findings than this in one file help nobody.
MAX_FINDINGS: Final = 200
