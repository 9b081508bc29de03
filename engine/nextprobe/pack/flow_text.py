"""A value as it is written inside a line of a pack: ``{supply: powered}``, ``[live_board, esd]``."""

from __future__ import annotations

import json
import re
from typing import Any

from nextprobe.pack.scalars import is_switch, resolve

#: Text that needs no quotes inside brackets, whatever reads it.
_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9_ ./%+()-]*[A-Za-z0-9_.%)]|[A-Za-z]")


def flow_text(value: Any) -> str:
    """`value`, of plain data, in brackets where it is a list or a mapping."""
    if isinstance(value, dict):
        return f"{{{', '.join(f'{key}: {flow_text(inner)}' for key, inner in value.items())}}}"
    if isinstance(value, list):
        return f"[{', '.join(flow_text(inner) for inner in value)}]"
    if isinstance(value, str) and _PLAIN.fullmatch(value) and resolve(value) == (value, "") and not is_switch(value):
        return value
    return json.dumps(value, ensure_ascii=False)
