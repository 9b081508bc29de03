"""A small planning model as a goal problem with hidden states, in the language of the PRISM model checker.

The cause is hidden; the bench state, the last outcome and which steps are done are seen. One command for each step,
bench state that serves and cause. `outside_value` has stormpy solve it (a probabilistic model checker; it unfolds the
beliefs), where that library can be imported; nothing of it is needed to write the program.
"""

from __future__ import annotations

import tempfile
from importlib import import_module
from pathlib import Path
from typing import Any

from tests.oracle.exact_plan import INF, Oracle

#: Minutes for naming the wrong hypothesis, so that no good policy guesses.
WRONG = 10_000.0


def outside_value(arguments: dict[str, Any], seconds: int = 60) -> float:
    """The least expected minutes as stormpy finds them. Raises ImportError where stormpy is absent."""
    storm, unfolding = import_module("stormpy"), import_module("stormpy.pomdp")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "model.prism"
        file.write_text(program(arguments), encoding="ascii")
        parsed = storm.parse_prism_program(str(file))
    wanted = storm.parse_properties('Rmin=? [F "end"]', parsed)
    model = storm.build_model(parsed, wanted)
    result = unfolding.verify_with_belief_unfolding(
        model, wanted[0], build_choice_labeling=False, max_exploration_time=seconds
    )
    return float(result.value)


def program(arguments: dict[str, Any]) -> str:
    """The text of the problem. Plain `from_arrays` arguments only: none of the oracle's extended ones."""
    plain = Oracle(arguments)
    tests, repairs = range(len(plain.minutes)), range(len(plain.fixes))
    done = [*(f"t{t}" for t in tests), *(f"r{r}" for r in repairs)]
    commands, prices = ["[draw] phase=0 -> " + _draw(plain.prior) + ";"], []
    end = "(phase'=2)&(h'=0)&(s'=0)&(last'=0)" + "".join(f"&({step}'=0)" for step in done)
    for t in tests:
        for there in plain.at_test[t]:
            name = f"t{t}_{there}"
            for h in range(len(plain.prior)):
                branches = {
                    f"(t{t}'=1)&(last'={o + 1})&(s'={there})": column[h] for o, column in enumerate(plain.columns[t])
                }
                commands.append(_command(plain, name, f"t{t}=0", there, h, branches))
            prices += _prices(plain, name, there, [plain.minutes[t]] * len(plain.prior))
    for r in repairs:
        for there in plain.at_repair[r]:
            name, costs = f"r{r}_{there}", []
            for h, chance in enumerate(plain.fixes[r]):
                branches = {end: chance, f"(r{r}'=1)&(last'=0)&(s'={there})": 1.0 - chance}
                commands.append(_command(plain, name, f"r{r}=0", there, h, branches))
                costs.append(plain.repair_minutes[r] + (chance * plain.tail[r][there] if chance else 0.0))
            prices += _prices(plain, name, there, costs)
    commands_end, prices_end = _endings(plain, end)
    variables = [
        "phase : [0..2] init 0;",
        f"h : [0..{len(plain.prior) - 1}] init 0;",
        f"s : [0..{len(plain.ways) - 1}] init {plain.start};",
        f"last : [0..{max((len(outcomes) for outcomes in plain.columns), default=1)}] init 0;",
        *(f"{step} : [0..1] init 0;" for step in done),
    ]
    seen = ", ".join(["phase", "s", "last", *done])
    head = ["pomdp", f"observables {seen} endobservables", "module job", *variables]
    tail = ["endmodule", 'label "end" = phase=2;', "rewards", *prices, *prices_end, "endrewards"]
    return "\n".join([*head, *commands, *commands_end, *tail]) + "\n"


def _draw(prior: tuple[float, ...]) -> str:
    return " + ".join(f"{p!r}:(h'={h})&(phase'=1)" for h, p in enumerate(prior) if p > 0.0)


def _reached(plain: Oracle, there: int) -> list[int]:
    return [s for s in plain.states if plain.ways[s][there] < INF]


def _command(plain: Oracle, name: str, unused: str, there: int, h: int, branches: dict[str, float]) -> str:
    states = "|".join(f"s={s}" for s in _reached(plain, there))
    to = " + ".join(f"{chance!r}:{update}" for update, chance in branches.items() if chance > 0.0)
    return f"[{name}] phase=1 & {unused} & ({states}) & h={h} -> {to};"


def _prices(plain: Oracle, name: str, there: int, costs: list[float]) -> list[str]:
    return [
        f"[{name}] s={s} & h={h} : {plain.ways[s][there] + cost!r};"
        for s in _reached(plain, there)
        for h, cost in enumerate(costs)
    ]


def _endings(plain: Oracle, end: str) -> tuple[list[str], list[str]]:
    """Quoting; in identification: naming one hypothesis, dear where it is the wrong one."""
    if not plain.identify:
        states = [s for s in plain.states if plain.refer[s] < INF]
        guard = "|".join(f"s={s}" for s in states) or "false"
        return [f"[quote] phase=1 & ({guard}) -> {end};"], [f"[quote] s={s} : {plain.refer[s]!r};" for s in states]
    causes = range(len(plain.prior))
    commands = [f"[name{k}] phase=1 -> {end};" for k in causes]
    return commands, [f"[name{k}] h!={k} : {WRONG!r};" for k in causes]
