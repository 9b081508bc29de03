"""From the answers to the entries of a pack: ids given, gaps filled so that the pack walks."""

from __future__ import annotations

from dataclasses import dataclass

from nextprobe.write.answers import Answers, CauseLine, MeasurementLine, RepairLine
from nextprobe.write.words import id_of

#: What stands in for a cause that no repair was named for; the pack says so beside it.
GUESSED_MINUTES, GUESSED_PARTS = 30.0, 20.0


@dataclass(frozen=True, slots=True)
class Entries:
    """Ids beside what they stand for, in order. `unseen`: causes that show at the first look alone.

    guessed: ids of repairs that nobody named.
    """

    symptom: str
    causes: tuple[tuple[str, CauseLine], ...]
    measurements: tuple[tuple[str, MeasurementLine], ...]
    repairs: tuple[tuple[str, RepairLine], ...]
    unseen: tuple[str, ...]
    guessed: tuple[str, ...]

    @property
    def commonest(self) -> int:
        """The place of the cause with the greatest weight."""
        return max(range(len(self.causes)), key=lambda place: self.causes[place][1].weight)

    @property
    def commonest_share(self) -> float:
        """Its share among the causes."""
        return self.causes[self.commonest][1].weight / sum(one.weight for _, one in self.causes)

    def ids(self, places: tuple[int, ...]) -> list[str]:
        """The ids of the causes at these places."""
        return [self.causes[place][0] for place in places]


def entries_of(answers: Answers) -> Entries:
    """Every entry with an id of its own; a repair for each cause that none was named for."""
    taken: set[str] = set()
    causes = tuple((id_of(one.title, "cause", taken), one) for one in answers.causes)
    measurements = tuple((id_of(one.title, "measurement", taken), one) for one in answers.measurements)
    cured = {place for one in answers.repairs for place in one.cures}
    repairs = [(id_of(one.title, "repair", taken), one) for one in answers.repairs]
    guessed = []
    for place, (id_, cause) in enumerate(causes):
        if place not in cured:
            title = f"Put right: {cause.title}"
            repairs.append(
                (id_of(f"repair {id_}", "repair", taken), RepairLine(title, GUESSED_MINUTES, GUESSED_PARTS, (place,)))
            )
            guessed.append(repairs[-1][0])
    seen = {place for one in answers.measurements for place in one.shows}
    return Entries(
        symptom=id_of(answers.symptom, "symptom", taken),
        causes=causes,
        measurements=measurements,
        repairs=tuple(repairs),
        unseen=tuple(id_ for place, (id_, _) in enumerate(causes) if place not in seen),
        guessed=tuple(guessed),
    )
