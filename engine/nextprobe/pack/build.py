"""From the plain data of a validated pack to the typed Pack: no checks, only defaults and shapes.

What is wrong with a pack is said by the schema and the rules, with its line; this module is only
reached when they found no error.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from nextprobe.pack import pack as p
from nextprobe.pack.board import board_sheet
from nextprobe.quantity import parse_accuracy, parse_minutes

Data = Mapping[str, Any]


def build_pack(data: Data, *, files: Mapping[str, str], content_hash: str) -> p.Pack:
    """The typed pack of `data`: one merged mapping, as the pack format describes it.

    A board sheet laid over it left its own data under ``board_sheet``, its options under
    ``known_options``.
    """
    bench = _bench(data.get("bench") or {})
    economics = _economics(data.get("economics") or {})
    misread = float(data.get("misread", 0.01))
    source = data.get("source")
    causes = {
        key: p.Cause(
            id=key,
            title=_title(key, row),
            weight=float(row["weight"]) if "weight" in row else 1.0,
            leads_to=_arcs(row.get("leads_to")),
            only_if=_only_if(row.get("only_if")),
            origin=_origin(row.get("source"), source),
        )
        for key, row in _rows(data, "causes")
    }
    measurements = {
        key: _measurement(key, row, bench, misread, source, data.get("measurements") or {})
        for key, row in _rows(data, "measurements")
    }
    return p.Pack(
        id=str(data.get("id", "")),
        title=str(data.get("title", data.get("id", ""))),
        version=str(data.get("version", "")),
        about=str(data.get("about", "")),
        unlisted=float(data.get("unlisted", 0.02)),
        misread=misread,
        pairs=float(data.get("pairs", 0.0)),
        confidence=float(data.get("confidence", 0.95)),
        economics=economics,
        options={
            key: p.Option(
                key,
                str(row.get("ask", key)),
                tuple(map(str, row["values"])),
                _text_or_none(row.get("default")),
                _only_if(row.get("only_if")),
            )
            for key, row in _rows(data, "options")
        },
        history={
            key: p.Fact(
                key,
                str(row.get("ask", key)),
                float(row.get("base", 0.0)),
                {cause: float(factor) for cause, factor in (row.get("raises") or {}).items()},
                parse_minutes(row.get("minutes", 0.2)),
                _only_if(row.get("only_if")),
            )
            for key, row in _rows(data, "history")
        },
        bench=bench,
        instruments={key: _instrument(key, row) for key, row in _rows(data, "instruments")},
        skills={key: p.Skill(key, _title(key, row)) for key, row in _rows(data, "skills")},
        hazards={key: p.Hazard(key, str(row["signal"]), str(row["say"])) for key, row in _rows(data, "hazards")},
        symptoms={
            key: p.Symptom(key, _title(key, row), _seen(row.get("seen") or {}, bench))
            for key, row in _rows(data, "symptoms")
        },
        effects={
            key: p.Effect(key, _title(key, row), _arcs(row.get("leads_to")), _only_if(row.get("only_if")))
            for key, row in _rows(data, "effects")
        },
        causes=causes,
        measurements=measurements,
        repairs={key: _repair(key, row, bench, source) for key, row in _rows(data, "repairs")},
        refer=_refer(data.get("refer"), economics, bench),
        always_first=_ids(data.get("always_first")),
        closing=_ids(data.get("closing")),
        stops={key: p.Stop(key, str(row["signal"]), str(row["say"])) for key, row in _rows(data, "stops")},
        remarks={
            key: p.Remark(
                key, str(row["say"]), _needs(row.get("look_when"), bench.states), _only_if(row.get("only_if"))
            )
            for key, row in _rows(data, "remarks")
        },
        known_options={key: str(value) for key, value in (data.get("known_options") or {}).items()},
        board=board_sheet(data["board_sheet"]) if "board_sheet" in data else None,
        hash=content_hash,
        files=dict(files),
        data=data,
    )


def _rows(data: Data, block: str) -> Iterable[tuple[str, Data]]:
    return [(str(key), row or {}) for key, row in (data.get(block) or {}).items()]


def _title(key: str, row: Data) -> str:
    return str(row.get("title", key.replace("_", " ")))


def _text_or_none(value: Any) -> str | None:
    return None if value is None else str(value)


def _ids(value: Any) -> tuple[str, ...]:
    if value is None:
        return ()
    return (str(value),) if isinstance(value, str) else tuple(map(str, value))


def _arcs(value: Any) -> dict[str, float]:
    return {str(target): float(chance) for target, chance in (value or {}).items()}


def _only_if(value: Any) -> p.OnlyIf:
    if not value:
        return ()
    maps = [value] if isinstance(value, Mapping) else list(value)
    return tuple({str(option): _ids(values) for option, values in one.items()} for one in maps)


def _needs(value: Any, states: Mapping[str, p.Needs]) -> p.Needs:
    if not value:
        return {}
    if isinstance(value, str):
        return states[value]
    return {str(condition): _ids(values) for condition, values in value.items()}


def _after(value: Any) -> tuple[p.After, ...]:
    if not value:
        return ()
    if isinstance(value, str):
        return ((value, ()),)
    if isinstance(value, Mapping):
        return tuple((str(id_), _ids(outcomes)) for id_, outcomes in value.items())
    return tuple(one for item in value for one in _after(item))


def _instruments(value: Any) -> tuple[tuple[str, ...], ...]:
    """Alternatives, each a set that must be at hand together; empty where nothing is needed."""
    if not value:
        return ()
    if isinstance(value, str):
        return ((value,),)
    if isinstance(value, Mapping):
        sets: list[tuple[str, ...]] = [()]
        for item in value["all"]:
            sets = [one + more for one in sets for more in _instruments(item)]
        return tuple(sets)
    return tuple(one for item in value for one in _instruments(item))


def _origin(own: Any, default: Any) -> p.Origin:
    row = own or default or {}
    return p.Origin(
        kind=str(row.get("kind", "estimate")),
        ref=str(row.get("ref", "")),
        doubt=float(row.get("doubt", 0.0)),
        note=str(row.get("note", "")),
    )


def _bench(row: Data) -> p.Bench:
    conditions = {str(key): tuple(map(str, one["values"])) for key, one in (row.get("conditions") or {}).items()}
    start = {key: str((row["conditions"][key]).get("start", values[0])) for key, values in conditions.items()}
    states: dict[str, p.Needs] = {}
    for name, needs in (row.get("states") or {}).items():
        states[str(name)] = {str(condition): _ids(values) for condition, values in needs.items()}
    if "hand_back" in row:
        hand_back = _needs(row["hand_back"] or {}, states)
    else:
        hand_back = {key: (value,) for key, value in start.items() if key != "supply"}
    moves = {
        str(key): p.Move(
            id=str(key),
            change={str(c): str(v) for c, v in one["change"].items()},
            needs=_needs(one.get("needs"), states),
            minutes=parse_minutes(one.get("minutes", 0)),
            do=str(one.get("do", key.replace("_", " "))),
            hazards=_ids(one.get("hazards")),
            after=_after(one.get("after")),
            only_if=_only_if(one.get("only_if")),
        )
        for key, one in (row.get("moves") or {}).items()
    }
    return p.Bench(conditions, start, states, hand_back, moves)


def _economics(row: Data) -> p.Economics:
    cap = row.get("wait_cap")
    return p.Economics(
        currency=str(row.get("currency", "")),
        labour_per_hour=float(row.get("labour_per_hour", 0.0)),
        loss=float(row.get("loss", 0.0)),
        wait_weight=float(row.get("wait_weight", 0.0)),
        wait_cap=None if cap is None else parse_minutes(cap),
    )


def _instrument(key: str, row: Data) -> p.Instrument:
    return p.Instrument(
        id=key,
        title=_title(key, row),
        may_lack=bool(row.get("may_lack", False)),
        counts=int(row.get("counts", 6000)),
        accuracy={str(q): parse_accuracy(str(text)) for q, text in (row.get("accuracy") or {}).items()},
    )


def _seen(row: Data, bench: p.Bench) -> p.Seen:
    return p.Seen(
        needs=_needs(row.get("needs"), bench.states),
        minutes=parse_minutes(row.get("minutes", 0)),
        wait=parse_minutes(row.get("wait", 0)),
        how=str(row.get("how", "")),
        hazards=_ids(row.get("hazards")),
    )


def _when(value: Any) -> p.When:
    if isinstance(value, str):
        return p.When("id", value)
    if isinstance(value, Mapping):
        ((op, parts),) = value.items()
        if op == "not":
            return p.When("not", parts=(_when(parts),))
        return p.When(str(op), parts=tuple(_when(part) for part in parts))
    return p.When("any", parts=tuple(_when(part) for part in value))


def _reads(rows: Any) -> tuple[p.Rule, ...]:
    rules = []
    for row in rows or ():
        gives = row.get("gives", row.get("otherwise"))
        when = None if "otherwise" in row else _when(row["when"])
        rules.append(p.Rule(when, {str(outcome): float(chance) for outcome, chance in gives.items()}))
    return tuple(rules)


def _outcome(key: str, row: Data, bench: p.Bench, source: Any) -> p.Outcome:
    value = row.get("range")
    by, ranges = "", {}
    if isinstance(value, Mapping):
        by = str(value["by"])
        ranges = {str(option): str(text) for option, text in value.items() if option != "by"}
    elif value is not None:
        ranges = {"": str(value)}
    return p.Outcome(
        id=key,
        say=str(row.get("say", key.replace("_", " "))),
        ranges=ranges,
        by=by,
        share=str(row.get("share", "")),
        of=str(row.get("of", "")),
        otherwise=bool(row.get("otherwise", False)),
        see_also=str(row.get("see_also", "")),
        leaves={str(c): str(v) for c, v in (row.get("leaves") or {}).items()},
        bars=_needs(row.get("bars"), bench.states),
        until=_after(row.get("until")),
        stop=str(row.get("stop", "")),
        origin=_origin(row.get("source"), source),
    )


def _measurement(key: str, row: Data, bench: p.Bench, misread: float, source: Any, all_rows: Data) -> p.Measurement:
    main = str(row.get("with", ""))
    inherited: Data = all_rows[main] if main else {}

    def own_or_main(name: str) -> Any:
        return row.get(name, inherited.get(name))

    at = row.get("at")
    reads = _reads(row.get("reads"))
    rows = row.get("outcomes") or ({} if reads else {"passed": {"say": "Passed"}, "failed": {"say": "Failed"}})
    return p.Measurement(
        id=key,
        title=_title(key, row),
        how=str(row.get("how", "")),
        where=str(row.get("where", "")),
        at=(float(at[0]), float(at[1])) if at else None,
        instrument=_instruments(own_or_main("instrument")),
        skill=_ids(own_or_main("skill")),
        quantity=str(row.get("quantity", "")),
        needs=_needs(own_or_main("needs"), bench.states),
        after=_after(own_or_main("after")),
        minutes=parse_minutes(row.get("minutes", 0)),
        wait=parse_minutes(row.get("wait", 0)),
        hazards=_ids(own_or_main("hazards")),
        outcomes={str(o): _outcome(str(o), one or {}, bench, row.get("source", source)) for o, one in rows.items()},
        reads=reads,
        misread=float(row.get("misread", misread)),
        with_=main,
        same_as=_ids(row.get("same_as")),
        only_if=_only_if(row.get("only_if")),
        origin=_origin(row.get("source"), source),
    )


def _repair(key: str, row: Data, bench: p.Bench, source: Any) -> p.Repair:
    return p.Repair(
        id=key,
        title=_title(key, row),
        how=str(row.get("how", "")),
        instrument=_instruments(row.get("instrument")),
        skill=_ids(row.get("skill")),
        needs=_needs(row.get("needs"), bench.states),
        after=_after(row.get("after")),
        minutes=parse_minutes(row.get("minutes", 0)),
        wait=parse_minutes(row.get("wait", 0)),
        parts=float(row.get("parts", 0.0)),
        risk=float(row.get("risk", 0.0)),
        fixes={str(cause): float(chance) for cause, chance in (row.get("fixes") or {}).items()},
        steps=_ids(row.get("steps")),
        hazards=_ids(row.get("hazards")),
        prove=_ids(row.get("prove")),
        only_if=_only_if(row.get("only_if")),
        where=str(row.get("where", "")),
        origin=_origin(row.get("source"), source),
    )


def _refer(row: Any, economics: p.Economics, bench: p.Bench) -> p.Refer | None:
    if row is None:
        return None
    return p.Refer(
        title=str(row.get("title", "Quote")),
        minutes=parse_minutes(row.get("minutes", 0)),
        parts=float(row.get("parts", economics.loss)),
        needs=_needs(row.get("needs"), bench.states),
        how=str(row.get("how", "")),
    )
