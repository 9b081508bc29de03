"""``nextprobe rehearse``: a walk on a simulated machine with a hidden fault, lessons, and what came of them."""

from __future__ import annotations

import argparse
import json
import sys
from typing import TYPE_CHECKING

from nextprobe.errors import UsageError
from nextprobe.resources import bundled_lessons, bundled_packs

if TYPE_CHECKING:
    from nextprobe.record.store import Store
    from nextprobe.rehearse.lesson import Lesson
    from nextprobe.rehearse.rehearsal import Rehearsal, Setting
    from nextprobe.rehearse.result import Kept


#: Seconds that the review at the end of a rehearsal may take; `nextprobe review` takes its time.
PATIENCE = 20.0


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``rehearse``."""
    parser.add_argument("pack", nargs="?", metavar="PACK", help="a bundled pack's id, a folder or a pack.yaml")
    parser.add_argument("--lesson", metavar="L", help="a lesson: a bundled id or a file (without PACK)")
    parser.add_argument("--job", metavar="JOB", help="go on with this rehearsal where it stopped")
    parser.add_argument("--results", action="store_true", help="what came of the rehearsals, by trainee")
    parser.add_argument("--seed", type=int, metavar="N", help="the machine: the same seed is the same machine")
    parser.add_argument("--cause", action="append", default=[], metavar="C", help="what is wrong (twice with --two)")
    parser.add_argument("--two", action="store_true", help="two faults at once")
    parser.add_argument("--any", action="store_true", help="as jobs come in: two faults or an unknown one may come up")
    parser.add_argument("--slips", type=float, metavar="P", help="chance that a reading is taken wrong")
    parser.add_argument("--free", action="store_true", help="choose each step yourself")
    parser.add_argument("--typed", action="store_true", help="type yourself what the meter shows")
    parser.add_argument("--hints", type=int, metavar="N", help="hints at most, with --free")
    parser.add_argument("--board", metavar="B", help="the board sheet of this machine: a bundled id or a file")
    parser.add_argument("--symptom", metavar="S", help="what the owner reports, where the pack has several")
    parser.add_argument("--option", action="append", default=[], metavar="ID=VALUE", help="what is fitted")
    parser.add_argument("--without", metavar="ID,…", help="instruments and skills that are not here")
    parser.add_argument("--technician", metavar="NAME", help="who rehearses; kept apart from the record")
    parser.add_argument("--shop", metavar="FILE", help="the shop file (default: shop.yaml in the user's config folder)")
    parser.add_argument("--json", action="store_true", help="print data for another program (with --results)")


def run(args: argparse.Namespace) -> int:
    """Rehearse; 0 when it came to an end or was left open."""
    from nextprobe.record.store import open_store

    if args.json and not args.results:
        raise UsageError("--json prints what came of rehearsals.", "Give --results too.")
    if not (args.pack or args.lesson or args.job or args.results):
        return _offer()
    if sum(map(bool, (args.pack, args.lesson, args.job, args.results))) > 1:
        raise UsageError("One thing at a time.", "Give PACK, --lesson, --job or --results alone.")
    with open_store() as store:
        if args.results:
            return _results(store, args.technician, as_json=args.json)
        if args.job:
            from nextprobe.cli.walk import find_shop
            from nextprobe.rehearse.rehearsal import resume_rehearsal

            return _by_lines(resume_rehearsal(store, args.job, find_shop(args.shop)), None)
        if args.lesson:
            from nextprobe.rehearse.lesson import load_lesson

            lesson = load_lesson(args.lesson)
            return _by_lines(_of_lesson(args, store, lesson), lesson)
        return _by_lines(_of_pack(args, store), None)


def _offer() -> int:
    """What there is to rehearse."""
    from nextprobe.rehearse.lesson import load_lesson

    print("Lessons, each by `nextprobe rehearse --lesson ID`:")
    for id_ in bundled_lessons():
        print(f"  {id_:<20} {load_lesson(id_).title}")
    print("Or any pack, by `nextprobe rehearse PACK`:")
    print(f"  {', '.join(bundled_packs())}")
    return 0


def _of_pack(args: argparse.Namespace, store: Store) -> Rehearsal:
    from nextprobe.rehearse.make import Hidden
    from nextprobe.rehearse.rehearsal import Setting

    if args.free and args.typed:
        raise UsageError("A rehearsal has one mode.", "Give --free or --typed.")
    if args.hints is not None and (args.hints < 0 or not args.free):
        raise UsageError("--hints is how many hints there are where you choose.", "Give 0 or more, with --free.")
    if len(args.cause) > 1 and not args.two:
        raise UsageError("Several causes were named.", "Give --two for two faults at once, or one --cause.")
    hidden = Hidden(_seed(args.seed), tuple(args.cause), args.two, args.any, args.slips)
    setting = Setting(hidden, "free" if args.free else "typed" if args.typed else "guided", args.hints)
    return _started(args, store, args.pack, args.board, setting, args.symptom)


def _of_lesson(args: argparse.Namespace, store: Store, lesson: Lesson) -> Rehearsal:
    from nextprobe.rehearse.begin import lesson_setting

    if args.cause or args.two or args.any or args.free or args.typed or args.hints is not None or args.board:
        raise UsageError("A lesson says itself what is hidden and how.", "Give it with --seed and --technician alone.")
    seed = None if args.seed is None else _seed(args.seed)
    setting = lesson_setting(lesson, store, args.technician or "", seed)
    return _started(args, store, lesson.pack, lesson.board or None, setting, lesson.symptom, lesson.options)


def _started(
    args: argparse.Namespace,
    store: Store,
    ref: str,
    board: str | None,
    setting: Setting,
    symptom: str | None,
    options: object = None,
) -> Rehearsal:
    from nextprobe.cli.walk import find_shop, lacking, pairs_of
    from nextprobe.pack.load import load_pack
    from nextprobe.rehearse.rehearsal import start_rehearsal

    shop = find_shop(args.shop)
    pack = load_pack(ref, board, shop)
    return start_rehearsal(
        store,
        pack,
        setting,
        symptom=symptom,
        options={**(options if isinstance(options, dict) else {}), **pairs_of(args.option, "--option")},
        lacks=lacking(args.without, shop, pack),
        technician=args.technician,
        shop=shop,
    )


def _seed(given: int | None) -> int:
    """The seed that was given, or a new one; it is said at the start, so that the machine can be had again."""
    from nextprobe.rehearse.begin import new_seed

    if given is not None and given < 0:
        raise UsageError(f"The seed is {given}.", "Give a whole number, 0 or more.")
    return new_seed() if given is None else given


def _by_lines(rehearsal: Rehearsal, lesson: Lesson | None) -> int:
    from nextprobe.cli.rehearse_lines import RehearsalMode, result_lines
    from nextprobe.rehearse.choosing import Choosing
    from nextprobe.rehearse.tasks import Tasks
    from nextprobe.said import fold

    walk, job = rehearsal.walk, rehearsal.opened.job
    seed = rehearsal.setting.hidden.seed
    for line in fold(f"{walk.pack.title} · a simulated machine, seed {seed} · job {job.id}"):
        print(line)
    if lesson is not None:
        for line in fold(f"{lesson.title}. {lesson.about}"):
            print(line)
    if lesson is None and rehearsal.setting.hidden.two and not walk.pack.pairs:
        # A lesson does not say what is hidden; who asked for two knows it.
        for line in fold("This pack counts on one fault at a time: with two the walk may end without a name for them."):
            print(line)
    tasks = lesson.tasks if lesson is not None else ()
    mode = RehearsalMode(walk, _read_line, print, choosing=Choosing(rehearsal), tasks=Tasks(tasks))
    if mode.run() is None:
        print("The rehearsal stays open. To go on with it:")
        print(f"   nextprobe rehearse --job {job.id}")
        return 0
    result = rehearsal.finish()
    causes = tuple(walk.pack.title_of(cause) for cause in result.causes)
    for line in result_lines(result, causes, tuple(map(walk.pack.title_of, dict.fromkeys(result.slipped)))):
        print(line)
    if tasks:
        print(f"   Step by step beside the engine: nextprobe review {job.id}")
    else:
        _look_back(rehearsal.opened.store, job.id)
    return 0


def _look_back(store: Store, job_id: str) -> None:
    """The review of the rehearsal; Ctrl-C gives what there is of it."""
    from time import monotonic

    from nextprobe.cli.planning import interruptible
    from nextprobe.review.lines import review_lines
    from nextprobe.review.make import make_review

    print()
    end = monotonic() + PATIENCE
    with interruptible() as interrupt:
        review = make_review(store, store.job(job_id), cancel=lambda: interrupt() or monotonic() >= end)
    for line in review_lines(review):
        print(line)


def _results(store: Store, technician: str | None, *, as_json: bool) -> int:
    from dataclasses import asdict

    from nextprobe.rehearse.result import by_trainee, results
    from nextprobe.said import plain

    found = results(store, technician)
    if as_json:
        print(json.dumps([asdict(one) for one in found], ensure_ascii=False, indent=2))
        return 0
    if not found:
        whose = f" of {plain(technician)}" if technician else ""
        print(f"No rehearsals{whose} yet in {store.place}.")
    for who, kept in by_trainee(found).items():
        print(plain(who) or "Without a name")
        for one in kept:
            print(f"  {one.opened[:16].replace('T', ' ')}  {one.job}  {plain(one.lesson):<20} {_line(one)}")
    return 0


def _line(one: Kept) -> str:
    from nextprobe.said import minutes

    result = one.result
    if result is None:
        return "open"
    beside = "" if result.engine_minutes is None else f" (engine {minutes(result.engine_minutes)})"
    verdict = f"{result.marks} of 10" if result.passed else "not passed"
    return f"{verdict}, {minutes(result.minutes)}{beside}, {result.ending.replace('_', ' ')}"


def _read_line(prompt: str) -> str:
    if sys.stdin is None:
        raise EOFError
    return input(prompt)
