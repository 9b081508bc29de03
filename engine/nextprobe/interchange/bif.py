"""A network as text in the Interchange Format for Bayesian networks (version 0.15, 1998).

Its words are letters, digits, ``_`` and ``-`` and begin with no digit. Every chance is written with all digits that
a double has, so that nothing is lost on the way.
"""

from __future__ import annotations

from collections.abc import Iterator

from nextprobe.interchange.network import Network, Variable


def bif_text(network: Network) -> str:
    """The network as the text of a ``.bif`` file."""
    return "\n".join(_lines(network)) + "\n"


def word(text: str) -> str:
    """`text` as one word of the format."""
    kept = "".join(sign if sign.isascii() and (sign.isalnum() or sign in "_-") else "_" for sign in text)
    return kept if kept and not kept[0].isdigit() else f"_{kept}"


def _lines(network: Network) -> Iterator[str]:
    yield from (f"// {_remark(line)}" for line in network.about)
    yield f"network {word(network.name)} {{"
    yield "}"
    for one in network.variables:
        if one.say:
            yield f"// {_remark(one.say)}"
        yield f"variable {word(one.name)} {{"
        states = ", ".join(word(state) for state in one.states)
        yield f"  type discrete [ {len(one.states)} ] {{ {states} }};"
        yield "}"
    for one in network.variables:
        yield from _chances(one)


def _chances(one: Variable) -> Iterator[str]:
    given = f" | {', '.join(word(parent.name) for parent in one.parents)}" if one.parents else ""
    yield f"probability ( {word(one.name)}{given} ) {{"
    for names, chances in one.rows():
        figures = ", ".join(_figure(float(chance)) for chance in chances)
        yield f"  ({', '.join(word(name) for name in names)}) {figures};" if names else f"  table {figures};"
    yield "}"


def _figure(chance: float) -> str:
    return repr(chance) if chance not in (0.0, 1.0) else str(int(chance))


def _remark(text: str) -> str:
    """One line, whatever was written."""
    return " ".join(text.split())
