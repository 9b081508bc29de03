"""The texts beside a new pack: its first case and its README."""

from __future__ import annotations

import math

from nextprobe.write.answers import Answers
from nextprobe.write.plan_of_pack import Entries
from nextprobe.write.words import figure, quoted

_SCHEMAS = """
The folder `schemas` is for an editor with a YAML language server, which completes keys and says what they mean. It is a
copy of what `nextprobe` had when the pack was begun; where the two disagree, `nextprobe validate` is right.
"""


def cases_text(schema: str, entries: Entries, unlisted: float = 0.05) -> str:
    """``cases.yaml`` with one case: the commonest cause, seen where it shows.

    What the case asks for always holds: a reading that is likeliest with this cause never makes it less likely.
    """
    id_, cause = entries.causes[entries.commonest]
    told = [f"{key}: at_fault" for key, one in entries.measurements if entries.commonest in one.shows]
    if id_ in entries.unseen:
        told = [f"first_look: shows_{id_}"]
    least = math.floor(90 * entries.commonest_share * (1 - unlisted)) / 100
    return "\n".join(
        [
            f"# yaml-language-server: $schema={schema}",
            "# The pack's own tests, run by `nextprobe study`. One job that you remember is one case: what was told,",
            "# in its order, and what must follow. With `answers` instead of `told` the walk asks by itself; `expect`",
            "# then also takes {ending: repaired} and {within_minutes: 30}. Raise `at_least` as far as you would bet.",
            f"- name: {quoted(f'commonest: {cause.title}')}",
            f"  told: {{{', '.join(told)}}}",
            f"  expect: [{{cause: {id_}, at_least: {figure(least)}}}]",
            "",
        ]
    )


def readme_text(pack_id: str, answers: Answers, entries: Entries, *, copied: bool) -> str:
    """``README.md``: what is here, and what to do next, in order. copied: whether the schemas stand beside it."""
    guessed = len(entries.guessed)
    todo = [
        "`measurements`: write for each how it is done, where, and how the machine must be (`needs`).",
        "`hazards`: name what can hurt here, and put it before the step. Local codes and licensed practice come first.",
        "`causes`: count a month of jobs and set the weights to the counts.",
        "`cases.yaml`: write a case for each job that you remember well.",
    ]
    if guessed:
        todo.insert(0, f"`repairs`: {guessed} of them are guesses, because no repair was named for the cause.")
    if entries.unseen:
        todo.insert(
            0, f"`measurements`: {len(entries.unseen)} causes show at the first look alone. Add a measurement for each."
        )
    steps = "\n".join(f"{number}. {one}" for number, one in enumerate(todo, 1))
    return f"""# {_plain(answers.machine[:1].upper() + answers.machine[1:])}: {_plain(answers.symptom)}

A knowledge pack of nextprobe, begun with {len(entries.causes)} causes, \
{len(entries.measurements) + 1} measurements and {len(entries.repairs)} repairs. In the folder above this one:

    nextprobe walk ./{pack_id}
    nextprobe validate --watch ./{pack_id}
    nextprobe study ./{pack_id}

The first leads through a job, the second says at every save what is wrong, the third runs the cases and says in figures
what the pack can and cannot find.

## What to do next

{steps}

Every number in it is an estimate until a source stands beside it. Say here what the pack does not cover.
{_SCHEMAS if copied else ""}"""


def _plain(text: str) -> str:
    """`text` without what Markdown would read as a mark."""
    return "".join(f"\\{sign}" if sign in "\\`*_[]<>#|" else sign for sign in text)
