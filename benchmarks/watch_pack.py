"""A sound pack of a chosen size, for what must stay quick when packs are large."""

from __future__ import annotations

_HEAD = """format: 1
id: large
title: Nothing happens
version: 1.0.0
about: A pack of many alike parts, as large as a file may get.
bench:
  conditions:
    supply: {values: [removed, powered], start: removed}
  moves:
    connect: {change: {supply: powered}, needs: {supply: removed}, minutes: 1, do: Connect the supply.}
    disconnect: {change: {supply: removed}, needs: {supply: powered}, minutes: 0.5, do: Disconnect the supply.}
hazards:
  live: {signal: CAUTION, say: The terminals are live. Keep clear of them.}
instruments:
  meter: {title: Multimeter, counts: 6000, accuracy: {voltage: 0.5 % + 3 counts}}
symptoms:
  nothing: {title: Nothing happens, seen: {needs: {supply: powered}, minutes: 1, how: Press the button.}}
refer: {title: Replace it, minutes: 20, parts: 90}
"""
_EFFECT = """  rail_{n}_gone:
    title: Supply {n} missing at its connector
    leads_to: {{nothing: 1}}
"""
_CAUSE = """  part_{n}_open:
    title: Fuse link {n} open    # what the owner never sees
    weight: {weight}
    source: {{kind: practice, note: counted at the bench}}
    leads_to: {{rail_{n}_gone: 0.97}}
"""
_MEASUREMENT = """  rail_{n}:
    title: Supply voltage {n}
    where: Connector {n}, the red core against the black one
    how: Black lead to ground, red lead to the pin beside the mark, one hand.
    instrument: meter
    quantity: voltage
    needs: {{supply: powered}}
    minutes: 2
    hazards: [live]
    outcomes:
      absent: {{range: below 0.2 V}}
      low: {{range: absent .. normal}}
      normal: {{range: 4.75 V .. 5.25 V}}
      high: {{range: above normal}}
    reads:
      - {{when: rail_{n}_gone, gives: {{absent: 0.9, low: 0.1}}}}
      - {{otherwise: {{normal: 0.97, low: 0.02, high: 0.01}}}}
"""
_REPAIR = """  renew_{n}:
    title: Renew fuse link {n}
    how: Take the old link out and fit one of the same kind.
    needs: {{supply: removed}}
    minutes: 12
    parts: 4
    fixes: {{part_{n}_open: 0.98}}
    prove: [seen]
"""


def blocks(parts: int) -> dict[str, str]:
    """Block name -> its text, for a pack of `parts` parts (about 1.25 kB each)."""
    numbers = range(1, parts + 1)
    return {
        "effects": "effects:\n" + "".join(_EFFECT.format(n=n) for n in numbers),
        "causes": "causes:\n" + "".join(_CAUSE.format(n=n, weight=1 + n % 7) for n in numbers),
        "measurements": "measurements:\n" + "".join(_MEASUREMENT.format(n=n) for n in numbers),
        "repairs": "repairs:\n" + "".join(_REPAIR.format(n=n) for n in numbers),
    }


def one_file(parts: int) -> str:
    """The whole pack as the text of one file."""
    return _HEAD + "".join(blocks(parts).values())


def many_files(parts: int, each: int = 40) -> dict[str, str]:
    """File name -> text: the same pack, in files of `each` parts."""
    files: dict[str, str] = {}
    numbers = range(1, parts + 1)
    for start in range(0, parts, each):
        some = numbers[start : start + each]
        files[f"parts-{start // each + 1:02}.yaml"] = (
            "effects:\n"
            + "".join(_EFFECT.format(n=n) for n in some)
            + "causes:\n"
            + "".join(_CAUSE.format(n=n, weight=1 + n % 7) for n in some)
            + "measurements:\n"
            + "".join(_MEASUREMENT.format(n=n) for n in some)
            + "repairs:\n"
            + "".join(_REPAIR.format(n=n) for n in some)
        )
    head = _HEAD.replace("bench:\n", f"include: [{', '.join(files)}]\nbench:\n", 1)
    return {"pack.yaml": head, **files}
