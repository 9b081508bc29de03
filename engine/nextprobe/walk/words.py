"""Plain sentences with figures: what is most likely, why this step, what is left."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from nextprobe.pack.pack import Pack
from nextprobe.walk.ask import Candidate, Lead

#: Minutes below which the plan cannot tell two steps apart.
ALIKE = 0.5
#: Causes that are named where an outcome rules them out.
NAMED = 3


def odds(chance: float) -> str:
    """A probability as people say it: "about 3 in 10", "nearly certain"."""
    if chance >= 0.985:
        return "nearly certain"
    if chance >= 0.945:
        return "about 19 in 20"
    if chance >= 0.095:
        return f"about {max(1, round(chance * 10))} in 10"
    if chance >= 0.0095:
        return f"about {max(1, round(chance * 100))} in 100"
    return "less than 1 in 100"


def _small(text: str) -> str:
    """A title inside a sentence: its first letter small, unless the word is an abbreviation or a code."""
    first = text.split(" ", 1)[0]
    return (
        text
        if sum(letter.isupper() for letter in first) > 1 or any(c.isdigit() for c in first)
        else text[:1].lower() + text[1:]
    )


def leading(belief: Mapping[str, float]) -> list[tuple[str, float]]:
    """Causes and ``unlisted`` by falling probability; the pack's order decides ties."""
    return sorted(belief.items(), key=lambda item: -item[1])


def most_likely(pack: Pack, belief: Mapping[str, float]) -> str:
    """One plain sentence about what is most likely so far."""
    ranked = leading(belief)
    if not ranked:
        return ""
    (first, chance), *rest = ranked
    # The odds come first: a narrow screen may cut a long title, never the figure.
    name = "something this pack does not know" if first == "unlisted" else _small(pack.title_of(first))
    sentence = f"Most likely so far, {odds(chance)}: {name}"
    if rest and rest[0][1] > 0.5 * chance and rest[0][0] != "unlisted":
        sentence += f"; then, {odds(rest[0][1])}: {_small(pack.title_of(rest[0][0]))}"
    return sentence + "."


def why_step(kind: str, ranking: Sequence[Candidate]) -> str:
    """Why the best candidate is asked, in one or two sentences."""
    if not ranking:
        return ""
    best = ranking[0]
    ending = next((c for c in ranking if c.kind == "refer"), None)
    repair = next((c for c in ranking if c.kind == "repair"), None)
    parts = [
        f"With this step the whole job is expected to take {best.minutes:.0f} minutes, parts and waiting counted in."
    ]
    if kind in ("measure", "history") and repair is not None:
        parts.append(f"Starting to repair now ({_small(repair.title)}) would cost {more_words(repair)}.")
    if kind != "refer" and ending is not None:
        parts.append(f"Quoting now would cost {more_words(ending)}.")
    if kind == "refer":
        parts.append("No check or repair that is open here is expected to be cheaper than quoting.")
    others = [c for c in ranking[1:] if c.kind != "refer" and c is not repair][:1]
    if others and kind in ("measure", "history"):
        parts.append(f"The next best check ({_small(others[0].title)}) would cost {more_words(others[0])}.")
    return " ".join(parts)


def more_words(candidate: Candidate) -> str:
    """What a candidate costs more than the step that is asked. Below half a minute the plan cannot tell."""
    if candidate.more < ALIKE:
        return "about the same"
    return f"{candidate.more:.0f} {'minute' if round(candidate.more) == 1 else 'minutes'} more"


def lead_words(pack: Pack, lead: Lead) -> str:
    """What one outcome of a step would mean, and what would be asked then."""
    said = f"{lead.say} ({odds(lead.chance)})"
    if lead.likeliest:
        name = "something this pack does not know" if lead.likeliest == "unlisted" else pack.title_of(lead.likeliest)
        said += f": most likely then, {odds(lead.sure)}: {_small(name)}"
    if lead.ruled_out:
        names = [_small(pack.title_of(id_)) for id_ in lead.ruled_out[:NAMED]]
        rest = len(lead.ruled_out) - len(names)
        said += f". It rules out {'; '.join(names)}{f' and {rest} more' if rest else ''}"
    return f"{said}. Next: {lead.title}"


def bound_words(expected: float, at_least: float) -> str:
    """How far the plan can be from the best possible, in a sentence."""
    return (
        f"By this plan the job takes {expected:.0f} minutes on average from here; "
        f"no plan can bring that below {at_least:.0f}."
    )
