"""``nextprobe draw PACK FILE``: which cause leads to which effect, and on to the symptom, on A4 sheets."""

from __future__ import annotations

import argparse
from pathlib import Path

from nextprobe.cli.written import write_file
from nextprobe.errors import UsageError

EPILOG = (
    "One file without a network or a script: FILE.svg or FILE.html, as many A4 sheets on their side as it takes. "
    "With --about: only what leads to one cause, effect, symptom or measurement, what follows from it, and which "
    "measurements read it. For the plan as a tree: nextprobe plan PACK --draw FILE."
)


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.epilog = EPILOG
    parser.add_argument("pack", metavar="PACK", help="a bundled pack's id, a folder or a pack.yaml")
    parser.add_argument("file", metavar="FILE", help="where to draw: FILE.svg or FILE.html")
    parser.add_argument(
        "--board", metavar="B", help="the board sheet of the machine: what its options rule out is not drawn"
    )
    parser.add_argument("--about", metavar="ID", help="only what stands around this cause, effect or measurement")


def run(args: argparse.Namespace) -> int:
    """Draw the pack, or a part of it, into the file."""
    from datetime import date

    path = _path(args.file)
    from nextprobe.draw.causes import facts_of, graph_html, graph_svg
    from nextprobe.draw.graph import around, graph_of
    from nextprobe.pack.load import load_pack

    pack = load_pack(args.pack, args.board)
    graph = graph_of(pack)
    if args.about is not None:
        graph = around(pack, graph, args.about)
    draw = graph_svg if path.suffix.lower() == ".svg" else graph_html
    text = draw(*facts_of(pack, date.today(), args.about or ""), graph)
    write_file(args.file, text)
    print(f"Drawn: {args.file}")
    return 0


def _path(name: str) -> Path:
    path = Path(name)
    if path.suffix.lower() not in (".svg", ".html"):
        raise UsageError(f"{name!r} ends neither in .svg nor in .html.", "Name the file FILE.svg or FILE.html.")
    return path
