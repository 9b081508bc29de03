"""The rows of the start screen, below the one thing to do first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from textual.widgets.option_list import Option

if TYPE_CHECKING:
    from nextprobe_tui.desk import Lying
    from nextprobe_tui.widgets.first_act import FirstAct

OWN_PACK, LESSON, OLDER = " own", " lesson", " older"
OWN_SAY = "A pack of your own: type where it lies"
#: Finished jobs that are listed at once.
LATEST = 5


def show_first(act: FirstAct, lying: Lying) -> None:
    """The one thing to do first: the job that was touched last, or else to begin one."""
    if lying.open:
        job = lying.open[0]
        act.show("GO ON", job.what, f"{job.known(lying.now)}. Enter goes on with it.")
    else:
        act.show("BEGIN A JOB", "", "Enter asks what the machine does wrong.")


def lead_of(lying: Lying) -> str:
    """What stands between the one thing and the rows."""
    if lying.open or lying.ended:
        return "↓ leads to everything else. Nothing is recorded before a job is begun."
    return (
        "Welcome. Nothing is recorded here yet, and nothing will be before a job is begun; "
        "Esc goes back from everywhere. ↓ leads to everything else."
    )


def rows_of(lying: Lying) -> list[Option | None]:
    """Every row, with a line between the groups."""
    groups = [
        list(group) for group in (_open(lying), _first_lesson(lying), _packs(lying), _ended(lying), _lesson(lying))
    ]
    rows: list[Option | None] = []
    for group in groups:
        if group:
            rows += [*([None] if rows else []), *group]
    return rows


def _open(lying: Lying) -> Iterator[Option]:
    for number, job in enumerate(lying.open[1:]):
        if number == 0:
            yield Option("Go on with another open job", disabled=True)
        yield Option(job.prompt(lying.now), id=f"job {job.id}")


def _packs(lying: Lying) -> Iterator[Option]:
    yield Option("Begin a new job", disabled=True)
    for ref, title in lying.packs:
        yield Option(f"  {title}", id=f"pack {ref}")
    yield Option(f"  {OWN_SAY}", id=OWN_PACK)


def _ended(lying: Lying) -> Iterator[Option]:
    if not lying.ended:
        return
    yield Option("Look at a finished job", disabled=True)
    for job in lying.ended[:LATEST]:
        yield Option(job.prompt(lying.now), id=f"ended {job.id}")
    if len(lying.ended) > LATEST:
        yield Option(f"  Older ones: {len(lying.ended) - LATEST}", id=OLDER)


def _first_lesson(lying: Lying) -> Iterator[Option]:
    if lying.lesson and not lying.open and not lying.ended:
        yield Option("Learn it in two minutes", disabled=True)
        yield Option("  First lesson: four steps on a simulated machine, nothing to connect", id=LESSON)


def _lesson(lying: Lying) -> Iterator[Option]:
    if lying.lesson and (lying.open or lying.ended):
        yield Option("Practise", disabled=True)
        yield Option("  First lesson: four steps on a simulated machine, two minutes", id=LESSON)
