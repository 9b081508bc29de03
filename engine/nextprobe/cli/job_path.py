"""The recorded path of a job in plain words, and as flat data for other programs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nextprobe.record import Event
from nextprobe.said import plain


def flat(event: Event) -> dict[str, Any]:
    """An event as one map: its number, time and data.

    ``kind`` of what was told is the kind of what was asked (option, history, measure, check,
    repair, seen, refer); every other event keeps its own. ``event`` is always the event's own kind.
    """
    kind = event.data.get("kind", event.kind) if event.kind == "told" else event.kind
    own = {"seq": event.seq, "at": event.at, "kind": kind}
    return {**own, **event.data, **own, "event": event.kind, "hash": event.hash}


def in_words(event: Event) -> str:
    """One line for one event, without its number and time."""
    data = event.data
    asked = _text(data, "title", "ask", "id")
    match event.kind:
        case "started":
            return _joined("Started", _where(data))
        case "went_over":
            titles = [plain(one.get("title", "")) for one in data.get("carried", ())]
            return _joined(_joined("Went over to another pack", _where(data)), "; ".join(titles))
        case "told":
            return f"{asked}: {_text(data, 'say', 'told', 'outcome') or 'told'}{_minutes(data)}"
        case "skipped":
            return _joined(f"Skipped {asked}", _text(data, "reason"))
        case "ticked":
            return _joined("Done" if data.get("done") else "Not done after all", _text(data, "say"))
        case "planned":
            return _joined("Planned ahead", asked)
        case "undone":
            return _joined("Took back", asked or _text(data, "seq"))
        case "remarked":
            return _joined("Seen on the way", _text(data, "say", "remark", "id"))
        case "bench_set":
            return _joined("The bench as it is", _map(data.get("bench", data)))
        case "noted":
            return _joined("Note", _text(data, "text", "note"))
        case "rehearsal":
            return rehearsal_words(data)
        case "hinted":
            return _joined("Took a hint", asked)
        case "revealed":
            return _joined("What it was", ", ".join(map(plain, data.get("titles", ()))))
        case "trainer_noted":
            return _joined(
                f"Trainer's note on step {data['step']}" if data.get("step") else "Trainer's note", _text(data, "text")
            )
        case "ended":
            ending = _text(data, "ending", "what")
            cause = _text(data, "cause")
            line = f"Ended: {ending.replace('_', ' ')}" + (f", {cause}" if cause else "")
            return _joined(line, _text(data, "why"))
    return _joined(plain(event.kind), _map(data))


def rehearsal_words(data: Mapping[str, Any]) -> str:
    """A rehearsal's start, without what is hidden in its machine."""
    lesson = _text(data, "title", "lesson")
    return _joined("A rehearsal on a simulated machine", ", ".join(filter(None, (lesson, f"seed {data.get('seed')}"))))


def _text(data: Mapping[str, Any], *keys: str) -> str:
    """The first of `keys` that holds something."""
    found = (data[key] for key in keys if data.get(key) not in (None, "", {}, []))
    return plain(next(found, ""))


def _map(data: object) -> str:
    if not isinstance(data, Mapping):
        return plain(data)
    return ", ".join(f"{plain(key)} {plain(value)}" for key, value in data.items())


def _where(data: Mapping[str, Any]) -> str:
    return _map({key: data[key] for key in ("pack", "version", "board", "symptom") if data.get(key)})


def _minutes(data: Mapping[str, Any]) -> str:
    minutes = data.get("minutes")
    return f" ({minutes:.3g} min)" if isinstance(minutes, (int, float)) and minutes > 0 else ""


def _joined(head: str, rest: str) -> str:
    return f"{head}: {rest}" if rest else head
