"""The text of a new pack: valid, commented where the next thing to fill in stands."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from nextprobe.write.answers import Answers
from nextprobe.write.plan_of_pack import Entries
from nextprobe.write.words import figure, first_capital, quoted


def pack_text(pack_id: str, schema: str, today: date, answers: Answers, entries: Entries) -> str:
    """``pack.yaml``. schema: where an editor finds the schema, as a path or an address."""
    blocks = (
        _head(pack_id, schema, today, answers),
        _start(answers, entries),
        _causes(entries),
        _measurements(entries),
        _repairs(answers, entries),
        _end(answers),
    )
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _head(pack_id: str, schema: str, today: date, answers: Answers) -> Iterator[str]:
    yield f"# yaml-language-server: $schema={schema}"
    yield "# A new pack. It walks as it stands; a guess is marked `guess`. What to do next: the README beside it."
    yield "format: 1"
    yield f"id: {pack_id}"
    yield f"title: {quoted(f'{first_capital(answers.machine)}: {answers.symptom}')}"
    yield "version: 0.1.0"
    yield "# When its numbers were last gone through."
    yield f"date: {today.isoformat()}"
    yield f"about: {quoted(f'For a {answers.machine}. Its owner says: {answers.symptom}.')}"
    yield "# Of every number that names no source of its own; a doubt of 2 means: half or twice as much is possible."
    yield "source: {kind: estimate, doubt: 2, note: first answers of the author}"
    yield "# guess: of a hundred jobs, how many have a cause that is not listed below?"
    yield "unlisted: 0.05"
    price = figure(answers.quote.price)
    yield "# guess: what an hour costs. `loss` is what a spoilt machine costs: here, a replacement."
    yield f"economics: {{currency: EUR, labour_per_hour: 60, loss: {price}}}"


def _start(answers: Answers, entries: Entries) -> Iterator[str]:
    yield "# How the machine stands at the bench. Add what one must open or take off, with the minutes it takes:"
    yield "#   cover: {values: [fitted, removed], start: fitted}   and two moves, one there and one back."
    yield "bench:"
    yield "  conditions:"
    yield "    machine: {values: [stopped, running], start: stopped}"
    yield "  hand_back: {machine: stopped}"
    yield "  moves:"
    yield "    start_it:"
    yield "      change: {machine: running}"
    yield "      minutes: 0.5"
    yield "      do: Switch it on."
    yield "      after: [first_look]"
    yield "      hazards: [may_run_at_once]"
    yield "    stop_it: {change: {machine: stopped}, minutes: 0.5, do: Switch it off and wait until it stands still.}"
    yield ""
    yield "# Name what can hurt here: voltage, pressure, heat, weight, chemicals. A caution stands before its step."
    yield "hazards:"
    yield "  may_run_at_once:"
    yield "    signal: WARNING"
    yield "    say: It may move, heat or carry voltage at once. Stand clear, hands, hair and tools away."
    yield "  cut_off_first:"
    yield "    signal: WARNING"
    yield "    say: >-"
    yield "      Cut off and secure what drives it, voltage, pressure, springs and weight, before a hand goes in."
    yield "      The maker's instructions, local codes and licensed practice come first."
    yield "stops:"
    yield "  not_safe: {signal: WARNING, say: Stop. Leave it switched off and call somebody who is trained for it.}"
    yield ""
    yield "symptoms:"
    yield f"  {entries.symptom}:"
    yield f"    title: {quoted(answers.symptom)}"
    yield "    seen:"
    yield "      needs: {machine: running}"
    yield "      minutes: 1"
    yield "      how: Start it and see whether it still does so."
    yield "      hazards: [may_run_at_once]"


def _causes(entries: Entries) -> Iterator[str]:
    yield "# What a repair would remove. `weight`: how often it is the one, relative to the others. Count your jobs."
    yield "# Between cause and reading there may be effects (`effects:`): a cause then names one under `leads_to`."
    yield "causes:"
    for id_, one in entries.causes:
        yield f"  {id_}:"
        yield f"    title: {quoted(one.title)}"
        yield f"    weight: {figure(one.weight) if one.weight >= 0.0001 else '0.0001'}"
        yield f"    leads_to: {{{entries.symptom}: 1}}"
    yield "# What the owner tells is a reading, too. `base`: how often it is said whatever the cause; `raises`: how"
    yield "# many times more often with this one."
    yield "# history:"
    yield f"#   after_rain: {{ask: Did it begin after rain?, base: 0.2, raises: {{{entries.causes[0][0]}: 3}}}}"


def _measurements(entries: Entries) -> Iterator[str]:
    yield "# What one looks at or measures. `reads`: the first rule that holds gives the chance of each outcome."
    yield "# A reading with a figure has an `instrument`, a `quantity` and a `range` in each outcome instead of `say`:"
    yield "#   low: {range: below 11 V}"
    yield "#   normal: {range: 11 V .. 13 V, source: {kind: handbook, ref: where it is written}}"
    yield "#   high: {range: above normal}"
    yield "measurements:"
    yield "  first_look:"
    yield '    title: "Look it over before it is started: damage, leaks, smell, loose or missing parts"'
    yield "    minutes: 2"
    yield "    outcomes:"
    yield "      safe_to_go_on: {say: Nothing to see that matters}"
    titles = {id_: one.title for id_, one in entries.causes}
    for id_ in entries.unseen:
        yield f"      shows_{id_}: {{say: {quoted(f'Signs of: {titles[id_]}')}}}"
    yield "      unsafe: {say: It is not safe to go on, stop: not_safe}"
    yield "    reads:"
    odd = figure(max(0.0001, 0.02 / max(1, len(entries.unseen))))
    if entries.unseen:
        yield "      # guess: these causes show nowhere else. Add a measurement for each, then take it out here."
    for id_ in entries.unseen:
        yield f"      - {{when: {id_}, gives: {{shows_{id_}: 0.5, safe_to_go_on: 0.5}}}}"
    others = "".join(f", shows_{id_}: {odd}" for id_ in entries.unseen)
    rest = figure(1 - 0.01 - float(odd) * len(entries.unseen))
    yield f"      - {{otherwise: {{safe_to_go_on: {rest}, unsafe: 0.01{others}}}}}"
    for id_, one in entries.measurements:
        shows = ", ".join(entries.ids(one.shows))
        yield f"  {id_}:"
        yield f"    title: {quoted(one.title)}"
        yield "    # how: In words that a tired technician can follow.    where: The place."
        yield "    # needs: {machine: running}"
        yield f"    minutes: {figure(one.minutes)}"
        yield "    outcomes: {in_order: {say: In order}, at_fault: {say: Not in order}}"
        yield "    reads:   # guess: how surely it shows, and how often a sound machine shows it too"
        yield f"      - {{when: [{shows}], gives: {{at_fault: 0.9, in_order: 0.1}}}}"
        yield "      - {otherwise: {in_order: 0.95, at_fault: 0.05}}"
    yield "  # Without `reads` it is a check: it proves a repair and says nothing of causes."
    yield '  back_together: {title: "Everything is back in its place and guarded", minutes: 1}'


def _repairs(answers: Answers, entries: Entries) -> Iterator[str]:
    yield "# What removes the causes. `fixes`: guess, how surely it does; below 1, something is tried when it did not."
    yield "# Write its `steps: [one, sentence, each]`, what it `needs`, and its chance to do harm as `risk: 0.02`."
    yield "repairs:"
    for id_, one in entries.repairs:
        fixes = ", ".join(f"{cause}: 0.95" for cause in entries.ids(one.cures))
        if id_ in entries.guessed:
            yield "  # guess: nobody named a repair for this cause. Write what is done, its minutes and its parts."
        yield f"  {id_}:"
        yield f"    title: {quoted(one.title)}"
        yield "    needs: {machine: stopped}"
        yield f"    minutes: {figure(one.minutes)}"
        yield f"    parts: {figure(one.parts)}"
        yield "    hazards: [cut_off_first]"
        yield f"    fixes: {{{fixes}}}"
        yield "    prove: [seen]"


def _end(answers: Answers) -> Iterator[str]:
    yield "# Ending without a repair. Too cheap, and every walk would quote at once."
    if not answers.quote.stated:
        yield "# guess: nobody said what a replacement costs."
    minutes, price = figure(answers.quote.minutes), figure(answers.quote.price)
    yield f"refer: {{title: Quote a replacement, minutes: {minutes}, parts: {price}, needs: {{machine: stopped}}}}"
    yield "always_first: [first_look]"
    yield "closing: [back_together]"
