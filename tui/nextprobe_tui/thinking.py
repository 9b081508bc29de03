"""Slow work beside the screen, so that keys keep their answer meanwhile.

The work runs in a thread of its own that ends with the program: leaving never waits for it. It touches
no widget; it posts one message, or hands one value back to the screen's own loop.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from contextlib import suppress
from contextvars import copy_context
from typing import TYPE_CHECKING, TypeVar

from textual.message import Message
from textual.widget import Widget

if TYPE_CHECKING:
    from nextprobe.walk import Ask, Walk

Value = TypeVar("Value")


class Asked(Message):
    """The next step is known. `turn` counts the questions put, so that a late answer can be told."""

    def __init__(self, turn: int, ask: Ask) -> None:
        super().__init__()
        self.turn = turn
        self.ask = ask


class AskFailed(Message):
    """The next step could not be worked out."""

    def __init__(self, turn: int, error: Exception) -> None:
        super().__init__()
        self.turn = turn
        self.error = error


class AheadFailed(Message):
    """Thinking ahead of the step at hand has failed; the quick plan goes on."""

    def __init__(self, turn: int, error: Exception) -> None:
        super().__init__()
        self.turn = turn
        self.error = error


class Ahead:
    """Thinks ahead from the step that stands, until it is answered.

    The work is on a copy of the walk, so nothing waits for it: neither an answer nor leaving.
    """

    def __init__(self) -> None:
        self._over = threading.Event()

    def begin(self, walk: Walk, receiver: Widget, turn: int) -> None:
        """Begin from the step that `walk` asks now; what was thought before it ends."""
        self.end()
        over = self._over = threading.Event()
        foresight = walk.foresight()

        def work() -> None:
            try:
                foresight.run(over.is_set)
            except Exception as error:  # whatever it is, the walk itself is sound and goes on
                if not over.is_set():
                    with suppress(RuntimeError):  # as above
                        receiver.post_message(AheadFailed(turn, error))

        _start(work)

    def end(self) -> None:
        """Think no further; at once for whoever calls."""
        self._over.set()


def think(walk: Walk, receiver: Widget, turn: int) -> None:
    """Ask `walk` in a thread and post Asked or AskFailed to `receiver`."""

    def work() -> None:
        message: Message
        try:
            message = Asked(turn, walk.ask())
        except Exception as error:  # whatever it is, a person must read it and not a dead screen
            message = AskFailed(turn, error)
        with suppress(RuntimeError):  # the screens were left meanwhile, and their loop is closed
            receiver.post_message(message)

    _start(work)


async def beside(work: Callable[[], Value]) -> Value:
    """What `work` returns, done in a thread; raises what it raises."""
    loop = asyncio.get_running_loop()
    future: asyncio.Future[Value] = loop.create_future()

    def settle(value: Value | None, error: Exception | None) -> None:
        if future.done():  # the screen that waited is gone
            return
        if error is not None:
            future.set_exception(error)
        else:
            future.set_result(value)  # type: ignore[arg-type]

    def run() -> None:
        value: Value | None = None
        failed: Exception | None = None
        try:
            value = work()
        except Exception as error:
            failed = error
        with suppress(RuntimeError):  # as above
            loop.call_soon_threadsafe(settle, value, failed)

    _start(run)
    return await future


def _start(work: Callable[[], None]) -> None:
    context = copy_context()
    threading.Thread(target=context.run, args=(work,), name="beside the screen", daemon=True).start()
