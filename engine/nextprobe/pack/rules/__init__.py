"""Rules for meaning, one a file: each has CODE, TITLE, SEVERITY and `check(ctx)`.

A new rule is a file here, a line in LOCAL or WHOLE, a page in docs/findings and a broken pack that
shows it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol, cast

from nextprobe.errors import Finding
from nextprobe.pack.compose import BENCH_BLOCKS, BLOCKS
from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import shown_path
from nextprobe.pack.rules import (
    accuracy_unreadable,
    after_cycle,
    band_missing,
    bar_in_place,
    bar_without_move,
    cause_no_symptom,
    cause_unrepaired,
    cause_unseen,
    caution_missing,
    chances_sum,
    doubtful_number,
    effect_cycle,
    effect_idle,
    estimate_without_doubt,
    hand_back,
    id_twice,
    instrument_missing,
    move_unusable,
    no_refer,
    number_without_source,
    odd_with,
    other_pack,
    otherwise_last,
    outcome_name,
    outcome_never,
    prove_without_seen,
    quoting_cheap,
    range_gap,
    range_mixed,
    range_unreadable,
    repair_fixes_nothing,
    reserved_id,
    rule_hidden,
    rules_and_outcomes,
    same_as_itself,
    share_of,
    share_range,
    standard_without_ref,
    state_unreachable,
    time_missing,
    time_unreadable,
    title_twice,
    unfolds,
    unknown_id,
    unknown_outcome,
    unknown_value,
    unused,
    wrong_kind,
)


class Rule(Protocol):
    """What a rule module offers."""

    CODE: str
    TITLE: str
    SEVERITY: str

    def check(self, ctx: Context) -> Iterator[Note]:
        """Everything that this rule has to say about a pack."""
        ...


#: Rules that look at one place at a time; they always run.
LOCAL = cast(
    tuple[Rule, ...],
    (
        unknown_id,
        id_twice,
        reserved_id,
        wrong_kind,
        unknown_value,
        unknown_outcome,
        effect_cycle,
        after_cycle,
        odd_with,
        same_as_itself,
        range_unreadable,
        range_gap,
        range_mixed,
        chances_sum,
        otherwise_last,
        rules_and_outcomes,
        band_missing,
        share_of,
        standard_without_ref,
        doubtful_number,
        accuracy_unreadable,
        time_unreadable,
        no_refer,
        prove_without_seen,
        outcome_name,
        share_range,
        title_twice,
        time_missing,
        instrument_missing,
        other_pack,
    ),
)
#: Rules about the pack as a whole; a misspelt id would make them say the same thing ten times.
WHOLE = cast(
    tuple[Rule, ...],
    (
        outcome_never,
        rule_hidden,
        bar_without_move,
        state_unreachable,
        hand_back,
        move_unusable,
        quoting_cheap,
        cause_unrepaired,
        repair_fixes_nothing,
        cause_unseen,
        cause_no_symptom,
        effect_idle,
        unfolds,
        unused,
        number_without_source,
        estimate_without_doubt,
        bar_in_place,
        caution_missing,
    ),
)
#: Errors after which the whole cannot be judged: reading, shape, ids and circles.
_BLOCKING = ("NP1", "NP2", "NP30", "NP311")


#: Reading faults after which whole blocks may be missing, so that every id in them would seem unknown.
UNREAD = frozenset({"NP101", "NP102", "NP103", "NP105", "NP106", "NP109", "NP115", "NP116", "NP117", "NP119"})


def run_rules(ctx: Context, before: list[Finding]) -> list[Finding]:
    """All that the rules have to say; `before` is what reading and shape have found already."""
    if any(one.code in UNREAD for one in before) or _blocks_missing(ctx):
        return []
    findings = [finding for rule in LOCAL for finding in findings_of(rule, ctx)]
    if not any(one.severity == "error" and one.code.startswith(_BLOCKING) for one in [*before, *findings]):
        findings += [finding for rule in WHOLE for finding in findings_of(rule, ctx)]
    return findings


def _blocks_missing(ctx: Context) -> bool:
    """Whether a whole block is misspelt or misshapen, so that every id in it would seem unknown."""
    blocks = {(block,) for block in (*BLOCKS, "bench")} | {("bench", block) for block in BENCH_BLOCKS}
    return bool(blocks & ctx.source.misspelt)


def findings_of(rule: Rule, ctx: Context) -> Iterator[Finding]:
    """What one rule has to say, with its places in the files."""
    for note in rule.check(ctx):
        if ctx.source.is_spoiled(note.path):
            continue
        mark = ctx.mark(note.path, of_key=note.of_key)
        yield Finding(rule.CODE, rule.SEVERITY, note.message, note.cure, *mark, path=shown_path(note.path))


def sheet_rules() -> tuple[Rule, ...]:
    """The rules that also judge what a board sheet changes."""
    return cast(
        tuple[Rule, ...],
        (
            range_unreadable,
            range_gap,
            range_mixed,
            band_missing,
            share_of,
            standard_without_ref,
            doubtful_number,
            time_unreadable,
        ),
    )
