"""What is hidden in a machine, folded up in the record until the end: not secret, only not to be read in passing."""

from __future__ import annotations

import json
from base64 import b64decode, b64encode
from collections.abc import Mapping
from typing import Any

from nextprobe.errors import UnreadableError


def seal(data: Mapping[str, Any]) -> str:
    """`data` as letters that tell nobody anything at a glance."""
    return b64encode(json.dumps(data, sort_keys=True).encode()).decode()


def unseal(text: str) -> dict[str, Any]:
    """What `seal` folded up. Raises UnreadableError where it is nothing of the kind."""
    try:
        found = json.loads(b64decode(text, validate=True))
    except ValueError:
        found = None
    if not isinstance(found, dict):
        raise UnreadableError("The rehearsal's record cannot be read.", "Start a new one.")
    return found
