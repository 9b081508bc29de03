"""``nextprobe walk``: be led through a job, check by check, on the screens or by lines."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from nextprobe.errors import UsageError
from nextprobe.one_core import one_core
from nextprobe.resources import bundled_packs, is_file

if TYPE_CHECKING:
    from nextprobe.job import OpenJob
    from nextprobe.meter.live import LiveMeter
    from nextprobe.pack.pack import Pack
    from nextprobe.pack.shop import Shop
    from nextprobe.record.store import Store


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``walk``."""
    parser.add_argument("pack", nargs="?", metavar="PACK", help="a bundled pack's id, a folder or a pack.yaml")
    parser.add_argument("--job", metavar="JOB", help="go on with this job where it stopped")
    parser.add_argument("--board", metavar="B", help="the board sheet of this machine: a bundled id or a file")
    parser.add_argument("--symptom", metavar="S", help="what the owner reports, where the pack has several")
    parser.add_argument("--without", metavar="ID,…", help="instruments and skills that are not here")
    parser.add_argument("--option", action="append", default=[], metavar="ID=VALUE", help="what is fitted, where known")
    parser.add_argument("--bench", action="append", default=[], metavar="ID=VALUE", help="how the machine arrived")
    parser.add_argument("--told", metavar="ID,…", help="what the owner tells of it: facts of the pack")
    parser.add_argument("--denied", metavar="ID,…", help="what the owner says was not so")
    parser.add_argument("--limit", type=float, metavar="MONEY", help="what the owner will pay at most")
    parser.add_argument("--technician", metavar="NAME", help="who is at the bench; kept apart from the record")
    parser.add_argument("--shop", metavar="FILE", help="the shop file (default: shop.yaml in the user's config folder)")
    # Where it is not given here, what stood before the command counts.
    parser.add_argument(
        "--meter",
        metavar="RESOURCE",
        default=argparse.SUPPRESS,
        help="the bench meter that gives readings",
    )
    parser.add_argument("--plain", action="store_true", help="by lines: also taken without a terminal")
    parser.add_argument("--answers", metavar="FILE", help="a YAML map from id to what is told: walk by it")
    parser.add_argument("--json", action="store_true", help="print the result for a program (with --answers)")


def run(args: argparse.Namespace) -> int:
    """Walk; 0 when it was led to an end or left open."""
    from nextprobe.cli.main import has_terminal
    from nextprobe.record.store import open_store

    if args.json and not args.answers:
        raise UsageError("--json prints what an answers file leads to.", "Give --answers FILE too.")
    one_core()
    with open_store() as store:
        opened = _open(args, store)
        if args.answers:
            return _by_answers(args, opened)
        from nextprobe.meter.given import given_meter

        with given_meter(args.meter, opened.shop) as meter:
            if args.plain or not has_terminal():
                return _by_lines(opened, meter)
            from nextprobe.cli.screens import walk_on_screens

            return walk_on_screens(opened, meter)


def _open(args: argparse.Namespace, store: Store) -> OpenJob:
    from nextprobe.job import resume_job, start_job
    from nextprobe.pack.load import load_pack

    if args.job:
        if args.pack:
            raise UsageError("A job goes on with the pack it began with.", "Give --job without PACK.")
        job = store.job(args.job)
        from nextprobe.record.events import is_rehearsal

        if is_rehearsal(store.read_events(job.id)):
            raise UsageError(f"Job {job.id} is a rehearsal.", f"Go on with `nextprobe rehearse --job {job.id}`.")
        return resume_job(store, job.id, find_shop(args.shop))
    if not args.pack:
        raise UsageError(
            "No pack was named.", f"Give the path of a pack, or a bundled one: {', '.join(bundled_packs())}."
        )
    shop = find_shop(args.shop)
    pack = load_pack(args.pack, args.board, shop)
    if args.answers:
        from nextprobe.cli.answers import load_answers

        load_answers(Path(args.answers), pack)  # refused before a job is opened
    return start_job(
        store,
        pack,
        symptom=args.symptom,
        options=pairs_of(args.option, "--option"),
        bench=pairs_of(args.bench, "--bench"),
        lacks=lacking(args.without, shop, pack),
        limit=args.limit if args.limit is not None else shop.limit,
        technician=args.technician,
        shop=shop,
        facts=_facts(args, pack),
    )


def pairs_of(given: list[str], name: str) -> dict[str, str]:
    """`ID=VALUE` as often as it was given."""
    pairs = [one.partition("=") for one in given]
    for id_, sign, _ in pairs:
        if not sign or not id_.strip():
            raise UsageError(f"{name} {id_!r} has no value.", f"Write it as {name} ID=VALUE.")
    return {id_.strip(): value.strip() for id_, _, value in pairs}


def _facts(args: argparse.Namespace, pack: Pack) -> dict[str, str]:
    """The facts told and denied, known to the pack before a job is opened."""
    from nextprobe.walk.situation import near

    found: dict[str, str] = {}
    for given, told in ((args.told, "reported"), (args.denied, "denied")):
        for id_ in filter(None, (part.strip() for part in (given or "").split(","))):
            if id_ not in pack.history:
                raise UsageError(
                    f"The owner cannot tell {id_!r} in the pack {pack.id!r}.{near(id_, pack.history)}",
                    f"It has: {', '.join(pack.history) or 'no such facts'}.",
                )
            if found.setdefault(id_, told) != told:
                raise UsageError(f"{id_!r} is both told and denied.", "Give it with --told or with --denied.")
    return found


def lacking(without: str | None, shop: Shop, pack: Pack) -> list[str]:
    """What is not here: all that the command line names, and of the shop's list what this pack knows."""
    named = [part.strip() for part in (without or "").split(",") if part.strip()]
    known = {*pack.instruments, *pack.skills}
    return [*named, *(id_ for id_ in shop.lacks if id_ in known and id_ not in named)]


def find_shop(path: str | None) -> Shop:
    """The shop file that was named, else the user's own, else an empty one."""
    from nextprobe.pack.load import load_shop
    from nextprobe.pack.shop import Shop

    if path is not None:
        if not is_file(Path(path)):
            raise UsageError(f"There is no shop file {path!r}.", "Give the path of a shop file.")
        return load_shop(Path(path))
    from platformdirs import user_config_path

    own = user_config_path("nextprobe") / "shop.yaml"
    return load_shop(own) if own.is_file() else Shop()


def _by_answers(args: argparse.Namespace, opened: OpenJob) -> int:
    from nextprobe.cli.answers import load_answers, outcome_of
    from nextprobe.cli.lines import ending_lines, path_lines
    from nextprobe.walk.play import play

    walk = opened.walk
    play(walk, load_answers(Path(args.answers), walk.pack))
    if args.json:
        print(json.dumps(outcome_of(walk), ensure_ascii=False))
        return 0
    print(f"{walk.pack.title} · job {opened.job.id}")
    for line in path_lines(walk.path, walk.pack.economics.currency):
        print(line)
    ending = walk.close()
    if ending is not None:
        for line in ending_lines(ending, walk.pack):
            print(line)
    return 0


def _by_lines(opened: OpenJob, meter: LiveMeter | None = None) -> int:
    from nextprobe.cli.line_mode import LineMode

    print(f"{opened.walk.pack.title} · job {opened.job.id}")
    if opened.taken_over:
        print(opened.taken_over)
    if opened.store.only_job() == opened.job.id:
        print("New here? `nextprobe rehearse --lesson first-steps` takes two minutes.")
    sitting = LineMode(opened.walk, _read_line, lambda line: print(line, flush=True), opened.go_over, meter)
    if sitting.run() is None:
        opened.keep_step()
        print(f"The job stays open: `nextprobe walk --job {opened.job.id}` goes on with it.")
    return 0


def _read_line(prompt: str) -> str:
    if sys.stdin is None:
        raise EOFError
    return input(prompt)
