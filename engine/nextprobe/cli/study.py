"""``nextprobe study``: run a pack's own cases."""

from __future__ import annotations

import argparse
import json


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``study``."""
    parser.add_argument("pack", metavar="PACK", help="a bundled pack's id, a folder or a pack.yaml")
    parser.add_argument("--json", action="store_true", help="print the result for a program")


def run(args: argparse.Namespace) -> int:
    """Run the cases; 1 when one fails."""
    from nextprobe.study.cases import CaseResult, run_cases

    def say(result: CaseResult) -> None:
        if args.json:
            return
        print(f"{'passed' if result.passed else 'FAILED'}  {result.name}", flush=True)
        if not result.passed:
            for wish in result.wishes:
                if not wish.holds:
                    print(f"        expected {wish.wish}; found {wish.found}")
            if result.astray:
                print(f"        {result.astray}")

    results = run_cases(args.pack, say)
    failed = sum(not result.passed for result in results)
    if args.json:
        print(json.dumps({"pack": args.pack, "cases": [result.as_dict() for result in results]}, ensure_ascii=False))
    elif not results:
        print("The pack has no cases: write them into cases.yaml beside its pack.yaml.")
    else:
        print(f"{len(results)} cases, {failed} failed.")
    return 1 if failed else 0
