"""`with` that cannot be read in the same act."""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.pack.context import Context, Note

CODE = "NP313"
TITLE = "`with` that does not fit"
SEVERITY = "error"
#: What a measurement with `with` takes from the other one.
INHERITED = ("needs", "instrument", "after", "hazards", "skill")


def check(ctx: Context) -> Iterator[Note]:
    """Yield a note where `with` chains, names itself, or stands beside what it inherits."""
    rows = ctx.block("measurements")
    for entry in ctx.entries("measurements"):
        main = entry.row.get("with")
        if not isinstance(main, str):
            continue
        path = (*entry.path, "with")
        if main == entry.id:
            yield Note(path, f"`{entry.id}` is read with itself.", "Name the measurement in whose act it is read.")
        elif "with" in rows.get(main, {}):
            yield Note(
                path, f"`{main}` is itself read with `{rows[main]['with']}`.", f"Write `with: {rows[main]['with']}`."
            )
        elif ctx.is_check(entry.id) or (main in rows and ctx.is_check(main)):
            yield Note(path, "A check is asked alone: it stands in `prove` or `closing`.", "Take `with` out.")
        for key in INHERITED:
            if key in entry.row:
                cure = f"Take `{key}` out, or take `with` out if this is an act of its own."
                yield Note(
                    (*entry.path, key), f"`{key}` stands beside `with`, which takes it from `{main}`.", cure, True
                )
