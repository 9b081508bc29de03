"""What a pack can say of one machine, before any array is made of it."""

from __future__ import annotations

from collections.abc import Mapping

from nextprobe.errors import SituationError
from nextprobe.pack.applies import applies
from nextprobe.pack.pack import Pack


def possible_causes(pack: Pack, options: Mapping[str, str]) -> tuple[str, ...]:
    """The causes that the known options do not rule out."""
    return tuple(key for key, cause in pack.causes.items() if applies(cause.only_if, options) is not False)


def check_machine(pack: Pack, symptom: str, options: Mapping[str, str]) -> None:
    """Raises SituationError when the pack has no such symptom, or when no cause is left that produces it."""
    if symptom not in pack.symptoms:
        raise SituationError(
            f"The pack {pack.id!r} has no symptom {symptom!r}.", f"It has: {', '.join(pack.symptoms)}."
        )
    effects = pack.effects.items()
    leads = {key: effect.leads_to for key, effect in effects if applies(effect.only_if, options) is not False}
    open_ = [pack.causes[cause].leads_to for cause in possible_causes(pack, options)]
    seen: set[str] = set()
    while open_:
        following = {id_ for id_, chance in open_.pop().items() if chance > 0}
        if symptom in following:
            return
        open_ += [leads[id_] for id_ in following - seen if id_ in leads]
        seen |= following
    raise SituationError(
        f"With these options no cause of the pack {pack.id!r} is left that leads to {symptom!r}.",
        "Check the options told, or take another pack.",
    )
