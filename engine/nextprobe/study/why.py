"""Why a cause is found too dear, and what the figures of a study mean, in plain sentences."""

from __future__ import annotations

from nextprobe.pack.pack import Pack
from nextprobe.study.causes import WELL, Dear, Rival

#: A measurement that tells a cause apart well is hardly asked below this chance.
HARDLY = 0.3
#: A cause that is quoted more often than this, though it could be repaired, is known too badly.
OFTEN = 0.3
#: A measurement of fewer minutes cannot be much quicker.
QUICK = 5.0


def percent(share: float) -> str:
    """A share as a person reads it: `38 %`, `3.4 %`, `0 %`, `under 0.1 %`."""
    hundred = 100 * share
    if hundred >= 9.95:
        return f"{hundred:.0f} %"
    if hundred >= 0.05:
        return f"{hundred:.1f} %".replace(".0 ", " ")
    return "under 0.1 %" if hundred > 1e-9 else "0 %"


def minutes(value: float) -> str:
    """Minutes without a unit: `0.5`, `12`, `1240`."""
    return f"{value:.0f}" if value >= 9.95 else f"{value:.1f}".replace(".0", "")


def whys(dear: Dear, pack: Pack, *, identify: bool) -> list[str]:
    """What makes the cause dear, the most telling last: which measurement is missing, or is too dear to be asked."""
    cause = dear.cause
    said = [
        f"{minutes(cause.minutes)} minutes, {minutes(cause.looking)} of them measuring and {minutes(cause.in_vain)} in "
        f"repairs that do not cure it; {minutes(cause.known)} would do if it were known at once."
    ]
    if identify:
        said = [f"{minutes(cause.minutes)} minutes until it is known."]
    elif cause.quoted >= 0.05:
        surer = ": its repair does not pay at the belief reached" if dear.repairable and cause.quoted >= OFTEN else ""
        said[0] += f" Quoted in {percent(cause.quoted)} of its jobs{surer}."
    names = ", ".join(f"{rival.title} {percent(rival.belief)}" for rival in dear.rivals)
    when = "When measuring is over" if identify else "Where repairs and quotes are chosen, by their minutes,"
    said.append(f"{when} the belief in it is {percent(dear.own)}{'; beside it: ' + names if names else ''}.")
    told: dict[str, list[Rival]] = {}
    for rival in dear.rivals:
        if rival.same_repair and not identify:
            continue
        if rival.apart < WELL:
            said.append(_missing(rival, pack))
        elif rival.asked < HARDLY:
            told.setdefault(rival.best, []).append(rival)
    for best, rivals in told.items():
        named = " and ".join(rival.title for rival in rivals)
        takes, apart, asked = rivals[0].best_minutes, rivals[0].apart, rivals[0].asked
        quicker = " A quicker one is missing." if takes > QUICK else ""
        said.append(
            f"It could be told from {named} by: {pack.title_of(best)} ({percent(apart)} apart). That takes "
            f"{minutes(takes)} minutes and is asked in {percent(asked)} of its jobs.{quicker}"
        )
    return said


def verdict(rival: Rival, *, identify: bool) -> str:
    """The same in a few words."""
    if rival.same_repair and not identify:
        return "the same is done first"
    if rival.apart < WELL:
        return "a measurement is missing"
    if rival.asked >= HARDLY:
        return "is asked"
    return "hardly asked: a quicker one is missing" if rival.best_minutes > QUICK else "hardly asked"


def _missing(rival: Rival, pack: Pack) -> str:
    if not rival.best or rival.apart < 0.005:
        return f"Missing: a measurement that tells it from {rival.title}. The pack has none that does at all."
    return (
        f"Missing: a measurement that tells it from {rival.title}. The best in the pack tells them "
        f"{percent(rival.apart)} apart: {pack.title_of(rival.best)}."
    )
