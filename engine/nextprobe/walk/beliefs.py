"""The belief of a walk, made once something is weighed."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from nextprobe.pack.pack import Pack

if TYPE_CHECKING:
    from nextprobe.walk.evidence import Believer


class Beliefs:
    """Shared by a walk and its copies: what one of them has weighed none of the others weighs again."""

    def __init__(self, pack: Pack, symptom: str) -> None:
        self.pack = pack
        self.symptom = symptom

    @cached_property
    def believer(self) -> Believer:
        """Loaded with the first question about causes, and the arrays with it: the first look of a job needs none."""
        from nextprobe.walk.evidence import Believer

        return Believer(self.pack, self.symptom)
