"""The same work on many items, over the machine's cores: by processes that are started anew, so also on Windows."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from itertools import islice
from multiprocessing import get_context
from typing import Any, TypeVar

from nextprobe.one_core import ONE_CORE, one_core

Item = TypeVar("Item")
Result = TypeVar("Result")

#: Seconds between two looks whether to stop.
TICK = 0.2
#: Items that are handed out to each process at a time.
AHEAD = 3


def cores() -> int:
    """How many cores this process may use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity is not None else os.cpu_count() or 1


def spread(
    work: Callable[[Item], Result],
    items: Sequence[Item],
    workers: int,
    cancel: Callable[[], bool] = lambda: False,
) -> Iterator[tuple[int, Result]]:
    """Do `work` on each item: pairs of the item's place and its result, in the order in which they are done.

    work: a function of a module, or an object whose class is one's, that can be sent to a process. workers: 1 works in
    this process. cancel: asked now and then; True ends it with what is done. Where processes cannot be started or end
    unforeseen, the rest is done in this one.
    """
    done: set[int] = set()
    if workers > 1 and len(items) > 1:
        try:
            for place, result in _by_processes(work, items, min(workers, len(items)), cancel):
                done.add(place)
                yield place, result
        except (BrokenProcessPool, OSError):
            pass
    for place, item in enumerate(items):
        if place not in done and not cancel():
            yield place, work(item)


def _by_processes(
    work: Callable[[Item], Result], items: Sequence[Item], workers: int, cancel: Callable[[], bool]
) -> Iterator[tuple[int, Result]]:
    context = get_context("spawn")
    with (
        _one_core_each(),
        ProcessPoolExecutor(workers, mp_context=context, initializer=_begin, initargs=(work,)) as pool,
    ):
        places: dict[Future[Result], int] = {}
        waiting = iter(enumerate(items))

        def hand_out() -> None:
            with _no_interrupt():
                for place, item in islice(waiting, AHEAD * workers - len(places)):
                    places[pool.submit(_do, item)] = place

        try:
            hand_out()
            while places and not cancel():
                finished, _ = wait(places, TICK, FIRST_COMPLETED)
                for future in finished:
                    yield places.pop(future), future.result()
                hand_out()
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _no_interrupt() -> Iterator[None]:
    """Processes started here never see Ctrl-C, not even while they load, where it would be told as a fault."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextmanager
def _one_core_each() -> Iterator[None]:
    before = {name: os.environ.get(name) for name in ONE_CORE}
    one_core()
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value


_work: list[Callable[[Any], Any]] = []


def _begin(work: Callable[[Any], Any]) -> None:
    """Once a process: what it is to do; Ctrl-C is answered by the process that started it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _work[:] = [work]


def _do(item: Any) -> Any:
    return _work[0](item)
