"""``nextprobe export PACK --to bif``: what a pack knows, for other programs."""

from __future__ import annotations

import argparse
import sys

from nextprobe.cli.written import write_file


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.epilog = (
        "bif: the belief of one fault as a Bayesian network in the open Interchange Format (1998). The symptom is "
        "given in it; `cause` holds the belief, and every measurement is a variable whose states are its outcomes."
    )
    parser.add_argument("pack", metavar="PACK", help="a bundled pack's id, a folder or a pack.yaml")
    parser.add_argument("--to", choices=("bif",), required=True, help="the format")
    parser.add_argument("--board", metavar="B", help="the board sheet of the machine: a bundled id or a file")
    parser.add_argument("--symptom", metavar="S", help="what the owner reports (the pack's first where not given)")
    parser.add_argument("-o", "--output", metavar="FILE", help="write it there instead of printing it")


def run(args: argparse.Namespace) -> int:
    """Print or write the network."""
    from nextprobe.interchange.bif import bif_text
    from nextprobe.interchange.one_fault import one_fault_network
    from nextprobe.pack.load import load_pack

    text = bif_text(one_fault_network(load_pack(args.pack, args.board), args.symptom))
    if args.output is None:
        sys.stdout.write(text)
        return 0
    write_file(args.output, text)
    print(f"Written: {args.output}")
    return 0
