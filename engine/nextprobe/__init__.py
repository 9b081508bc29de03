"""nextprobe: which check next, from a knowledge pack to a proven repair.

These names are the public interface. Each is loaded when it is first asked for, so that
``import nextprobe`` stays light; inside the engine, import from the module that defines a name.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from nextprobe.version import __version__

if TYPE_CHECKING:
    from nextprobe.errors import (
        Finding,
        ModelError,
        NextprobeError,
        PackError,
        QuantityError,
        SituationError,
        StoreError,
        ToldError,
        UsageError,
    )
    from nextprobe.model.model import Model
    from nextprobe.pack.load import load_pack
    from nextprobe.pack.pack import Pack
    from nextprobe.plan.plan import Plan, make_plan
    from nextprobe.walk import Ask, Ending, Walk

__all__ = [
    "Ask",
    "Ending",
    "Finding",
    "Model",
    "ModelError",
    "NextprobeError",
    "Pack",
    "PackError",
    "Plan",
    "QuantityError",
    "SituationError",
    "StoreError",
    "ToldError",
    "UsageError",
    "Walk",
    "__version__",
    "load_pack",
    "make_plan",
]

_HOME = {
    "Ask": "nextprobe.walk",
    "Ending": "nextprobe.walk",
    "Model": "nextprobe.model.model",
    "Pack": "nextprobe.pack.pack",
    "Plan": "nextprobe.plan.plan",
    "Walk": "nextprobe.walk",
    "load_pack": "nextprobe.pack.load",
    "make_plan": "nextprobe.plan.plan",
}


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    value = getattr(import_module(_HOME.get(name, "nextprobe.errors")), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
