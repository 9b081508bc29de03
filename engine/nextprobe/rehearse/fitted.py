"""What is fitted on a simulated machine: a value for every option, as far as nobody said it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from nextprobe.errors import SituationError
from nextprobe.pack.applies import applies
from nextprobe.pack.pack import Pack
from nextprobe.rehearse.fault import UNLISTED, possible
from nextprobe.rehearse.luck import Luck

#: Draws of options after which causes that need certain ones are given up.
TRIES = 400


def draw_options(
    pack: Pack, symptom: str, known: Mapping[str, str], luck: Luck, causes: Sequence[str] = ()
) -> dict[str, str]:
    """A value for every option that applies; what is `known` stays, a default is held, all else is drawn evenly.

    causes: must be possible on the machine. Raises SituationError where no draw found a machine that can have them.
    """
    wanted = [cause for cause in causes if cause != UNLISTED]
    for number in range(TRIES):
        found = _drawn(pack, known, luck, number, hold_defaults=number < TRIES // 2)
        try:
            if not set(wanted) - set(possible(pack, symptom, found)):
                return found
        except SituationError:
            continue
        if any(cause not in pack.causes for cause in wanted):
            return found  # the fault says so in better words
    raise SituationError(
        f"No machine with these options can have {' and '.join(wanted) or 'the symptom'}.",
        "Name other options with --option, or another cause.",
    )


def _drawn(pack: Pack, known: Mapping[str, str], luck: Luck, number: int, *, hold_defaults: bool) -> dict[str, str]:
    found = dict(known)
    for option in pack.options.values():
        if option.id in found or applies(option.only_if, found) is False:
            continue
        held = option.default if hold_defaults else None
        found[option.id] = held or luck.of("option", option.id, number).choice(option.values)
    return found
