"""``nextprobe meter``: which bench meters are plugged in, and whether one answers."""

from __future__ import annotations

import argparse
from contextlib import closing

from nextprobe.meter.meter import MeterError


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``meter``."""
    parser.add_argument("resource", nargs="?", metavar="RESOURCE", help="try this one: who it is, and one reading")


def run(args: argparse.Namespace) -> int:
    """List what is there, or ask one meter; 0 when there is one."""
    from nextprobe.meter.visa import open_meter, resources

    if args.resource is None:
        found = resources()
        for one in found:
            print(one)
        if not found:
            print("Nothing was found. A meter on the network is not listed: try TCPIP::ITS-ADDRESS::INSTR.")
        return 0 if found else 1
    with closing(open_meter(args.resource)) as meter:
        print(meter.identify())
        function = meter.function()
        if function is None:
            raise MeterError("It is on a function that is not known here.", "Turn it to volts.")
        print(f"{function.word}: {function.show(meter.read())}")
    return 0
