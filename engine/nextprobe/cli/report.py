"""``nextprobe report``: what a job's owner gets, as lines or as a page to print and sign."""

from __future__ import annotations

import argparse

from nextprobe.cli.written import write_file


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of ``report``."""
    parser.add_argument("job", metavar="JOB", help="a job's id, or its beginning or end")
    parser.add_argument("--html", metavar="FILE", help="write a page for A4 paper, with the sketch and room to sign")


def run(args: argparse.Namespace) -> int:
    """Print or write the report; 1 where the record is not sound, which the report says too."""
    from nextprobe.record.store import open_store
    from nextprobe.report.make import make_report

    with open_store() as store:
        report = make_report(store, store.job(args.job))
    if args.html is None:
        from nextprobe.report.lines import report_lines

        for line in report_lines(report):
            print(line)
    else:
        from nextprobe.report.page import page

        write_file(args.html, page(report))
        print(f"Written: {args.html}")
    return 1 if report.broken else 0
