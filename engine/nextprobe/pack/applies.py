"""Does an `only_if` hold, and are instruments and skills at hand? Three answers: yes, no, not known."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from nextprobe.pack.pack import OnlyIf, When


def applies(only_if: OnlyIf, options: Mapping[str, str]) -> bool | None:
    """Whether `only_if` holds for the known `options`; None where an option that decides is unknown."""
    if not only_if:
        return True
    answers = [_all_hold(one, options) for one in only_if]
    if any(answer is True for answer in answers):
        return True
    return None if any(answer is None for answer in answers) else False


def _all_hold(one: Mapping[str, tuple[str, ...]], options: Mapping[str, str]) -> bool | None:
    unknown = False
    for option, values in one.items():
        if option not in options:
            unknown = True
        elif options[option] not in values:
            return False
    return None if unknown else True


def deciding_options(only_if: OnlyIf, options: Mapping[str, str]) -> list[str]:
    """The unknown options that would decide `only_if`, in the order of the pack; empty where decided."""
    if applies(only_if, options) is not None:
        return []
    found: list[str] = []
    for one in only_if:
        if _all_hold(one, options) is None:
            found += [option for option in one if option not in options and option not in found]
    return found


def at_hand(alternatives: tuple[tuple[str, ...], ...], lacks: Collection[str]) -> bool:
    """Whether one of the alternative sets of instruments is complete."""
    return not alternatives or any(not set(one) & set(lacks) for one in alternatives)


def ids_in(when: When | None) -> Iterator[str]:
    """Every effect and cause id that a rule's condition names."""
    if when is None:
        return
    if when.op == "id":
        yield when.id
    for part in when.parts:
        yield from ids_in(part)
