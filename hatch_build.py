"""What a wheel carries beside its modules: the bundled packs and lessons, the schemas, the pages on findings.

A wheel takes them into ``nextprobe/_data``. An editable install does not: ``nextprobe.resources``
then finds the folders of the checkout, so that an edited pack is used at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

CARRIED = {
    "packs": "nextprobe/_data/packs",
    "lessons": "nextprobe/_data/lessons",
    "schemas": "nextprobe/_data/schemas",
    "docs/findings": "nextprobe/_data/docs/findings",
}


class CarryData(BuildHookInterface):  # type: ignore[type-arg]  # generic over a config type that hatchling keeps private
    """Adds the data folders that exist to a standard wheel."""

    PLUGIN_NAME = "custom"

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Called by hatchling before it builds; `version` is the kind of wheel."""
        if version == "editable":
            return
        for source, target in CARRIED.items():
            folder = Path(self.root) / source
            if folder.is_dir():
                build_data["force_include"][str(folder)] = target
