"""Many prices at once, in several processes if wanted, told as they come, kept when interrupted."""

from __future__ import annotations

import multiprocessing
import signal
import threading
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sequencer.plan.prices import Change, Desk, Price

if TYPE_CHECKING:
    from multiprocessing.process import BaseProcess

Told = Callable[[int, int], None]
"""Called with (answered, asked) after each answer."""

FEW = 4
"""So many questions are not worth the start of further processes."""


@dataclass
class Prices:
    """Answers by question; ``interrupted`` says that some are missing because somebody had no time."""

    known: dict[Change, Price] = field(default_factory=dict)
    asked: int = 0
    interrupted: bool = False

    @property
    def missing(self) -> int:
        """How many questions have no answer."""
        return self.asked - len(self.known)


def price_all(desk: Desk, changes: Sequence[Change], workers: int = 1, told: Told | None = None) -> Prices:
    """The price of each change; the same as asking ``desk`` one by one.

    An interruption from the keyboard ends it with what is known so far.

    Args:
        desk: The job.
        changes: What is asked.
        workers: Processes to share the work; more than one needs a main module that can be imported.
        told: Told at the start and after each answer.
    """
    changes = tuple(dict.fromkeys(changes))
    prices = Prices(asked=len(changes))
    if told is not None and changes:
        told(0, len(changes))
    shared = workers > 1 and len(changes) > FEW
    answers = _by_others(desk, changes, workers) if shared else _by_ourselves(desk, changes)
    try:
        for change, price in answers:
            prices.known[change] = price
            if told is not None:
                told(len(prices.known), prices.asked)
    except KeyboardInterrupt:
        prices.interrupted = True
    finally:
        answers.close()
    return prices


def _by_ourselves(desk: Desk, changes: Sequence[Change]) -> Generator[tuple[Change, Price], None, None]:
    """One by one. The engine takes an interruption as a limit, so it is noted besides, and ends the row."""
    with _interruption() as interrupted:
        for change in changes:
            price = desk.price(change)
            if interrupted.is_set():
                raise KeyboardInterrupt
            yield change, price


@contextmanager
def _interruption() -> Iterator[threading.Event]:
    """Set once the keyboard interrupts; the interruption itself goes on as usual."""
    noted = threading.Event()
    before = signal.getsignal(signal.SIGINT)
    if threading.current_thread() is not threading.main_thread() or not callable(before):
        yield noted
        return

    def note(_number: int, _frame: object) -> None:
        noted.set()
        raise KeyboardInterrupt

    signal.signal(signal.SIGINT, note)
    try:
        yield noted
    finally:
        signal.signal(signal.SIGINT, before)


def _by_others(
    desk: Desk, changes: Sequence[Change], workers: int
) -> Generator[tuple[Change, Price], None, None]:
    """As they come, from processes that are ended when nobody waits for them any more."""
    from concurrent.futures import ProcessPoolExecutor, as_completed

    others = set(multiprocessing.active_children())
    pool = ProcessPoolExecutor(
        max_workers=min(workers, len(changes)),
        mp_context=multiprocessing.get_context("spawn"),
        initializer=_begin,
        initargs=(desk,),
    )
    done = False
    try:
        asked = {pool.submit(_price, change): change for change in changes}
        for answer in as_completed(asked):
            yield asked[answer], answer.result()
        done = True
    finally:
        pool.shutdown(wait=done, cancel_futures=True)
        if not done:
            _end(set(multiprocessing.active_children()) - others)


def _end(processes: set[BaseProcess]) -> None:
    for process in processes:
        process.terminate()


_desk: Desk | None = None
"""In a process of the pool: the job that it is asked about."""


def _begin(desk: Desk) -> None:
    """Take the job; the keyboard is the main process's business."""
    global _desk  # noqa: PLW0603 - set once in a process of its own
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _desk = desk


def _price(change: Change) -> Price:
    assert _desk is not None
    return _desk.price(change)
