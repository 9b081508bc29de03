"""Who chooses the next step of a rehearsal: the engine, or in free mode the trainee."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from nextprobe.errors import NotAllowedError
from nextprobe.rehearse.rehearsal import Rehearsal
from nextprobe.walk import Ask
from nextprobe.walk.chosen import ask_for, open_ids

#: What is asked where the trainee is to choose.
CHOICE = Ask("choice", "choice", "Which step next?", how="`find` lists what can be done, `do ID` takes a step.")


@dataclass
class Choosing:
    """The step at hand in one rehearsal. refused: why the step chosen last cannot be done any more, or ""."""

    rehearsal: Rehearsal
    chosen: str = ""
    refused: str = ""
    _kept: tuple[Ask, Ask] | None = field(default=None, repr=False)

    @property
    def free(self) -> bool:
        """Whether the step at hand is the trainee's to choose: what must come first and what proves is asked for."""
        return self.rehearsal.setting.mode == "free" and bool(self.rehearsal.walk.ask().ranking)

    def step(self) -> Ask:
        """The step at hand, without what it may be and which reading to doubt: in free mode that is to be judged."""
        asked = self.rehearsal.walk.ask()
        if self.rehearsal.setting.mode != "free":
            return asked
        if self._kept is None or self._kept[0] is not asked:
            self._kept = asked, self._own(asked) if asked.ranking else _plain(asked)
        return self._kept[1]

    def choose(self, id_: str) -> None:
        """Take this step next. Raises NotAllowedError where it cannot be done, or where the step is set."""
        if not self.free:
            raise NotAllowedError("Here the step is set.", "Do it with an empty line.")
        ask_for(self.rehearsal.walk, id_)
        self.chosen, self._kept = id_, None

    def done(self, id_: str) -> None:
        """A step was told or left out."""
        if id_ == self.chosen:
            self.chosen = ""

    def matching(self, text: str = "") -> Iterator[tuple[str, str]]:
        """Id and title of every step that can be done now and has all words of `text` in one of the two."""
        pack = self.rehearsal.walk.pack
        wanted = text.lower().replace("_", " ").split()
        for id_ in open_ids(self.rehearsal.walk):
            title = pack.refer.title if id_ == "refer" and pack.refer is not None else pack.title_of(id_)
            said = f"{id_.replace('_', ' ')} {title}".lower()
            if all(word in said for word in wanted):
                yield id_, title

    def _own(self, asked: Ask) -> Ask:
        self.refused = ""
        if self.chosen:
            try:
                return _plain(ask_for(self.rehearsal.walk, self.chosen))
            except NotAllowedError as error:
                self.refused, self.chosen = f"{error.message} {error.cure}", ""
        return replace(CHOICE, notices=asked.notices, bench=asked.bench)


def _plain(ask: Ask) -> Ask:
    return replace(ask, most_likely="", retake="", retake_why="")
