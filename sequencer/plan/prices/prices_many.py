"""Many prices at once, in several processes if wanted, told as they come, kept when interrupted."""

from __future__ import annotations

import gc
import multiprocessing
import pickle
import signal
import threading
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Self

from sequencer.machine.model import Machine
from sequencer.plan.prices.prices import Change, Price, Pricer

Told = Callable[[int, int], None]
"""Called with (answered, asked) after each answer."""

FEW, SMALL = 4, 20
"""So many questions, and a machine of so many parts, are not worth the start of further processes."""


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


def price_all(
    desk: Pricer,
    changes: Sequence[Change],
    workers: int = 1,
    told: Told | None = None,
    others: Others | None = None,
) -> Prices:
    """The price of each change; the same as asking ``desk`` one by one.

    An interruption from the keyboard ends it with what is known so far.

    Args:
        desk: The job.
        changes: What is asked.
        workers: Processes to share the work; more than one needs a main module that can be imported.
        told: Told at the start and after each answer.
        others: Processes that have been begun already, instead of ``workers`` fresh ones; ended at the end.
    """
    changes = tuple(dict.fromkeys(changes))
    prices = Prices(asked=len(changes))
    if told is not None and changes:
        told(0, len(changes))
    if others is None and workers > 1 and len(changes) > FEW:
        others = Others(min(workers, len(changes)))
    answers = _by_others(others, desk, changes) if others else _by_ourselves(desk, changes)
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


def _by_ourselves(desk: Pricer, changes: Sequence[Change]) -> Generator[tuple[Change, Price], None, None]:
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


class Others:
    """Processes that share many questions; begun early, they load what they need while the job is solved.

    Ended as a context, without waiting for what nobody will hear any more.
    """

    def __init__(self, workers: int) -> None:
        from concurrent.futures import ProcessPoolExecutor

        self._before = set(multiprocessing.active_children())
        self._pool = ProcessPoolExecutor(
            max_workers=workers, mp_context=multiprocessing.get_context("spawn"), initializer=_begin
        )
        self._done = True
        for _ in range(workers):
            self._pool.submit(_load)

    def __enter__(self) -> Self:
        """The processes themselves."""
        return self

    def __exit__(self, *_fault: object) -> None:
        """End them."""
        self._pool.shutdown(wait=self._done, cancel_futures=True)
        if not self._done:
            for process in set(multiprocessing.active_children()) - self._before:
                process.terminate()

    def answers(self, desk: Pricer, changes: Sequence[Change]) -> Generator[tuple[Change, Price], None, None]:
        """Each answer as it comes."""
        from concurrent.futures import as_completed

        self._done = False
        packed = pickle.dumps(desk)
        asked = {self._pool.submit(_price, packed, change): change for change in changes}
        for answer in as_completed(asked):
            yield asked[answer], answer.result()
        self._done = True


def worthwhile(workers: int, machine: Machine) -> int:
    """How many processes it takes: a small machine's prices are told before a second one has started."""
    return workers if len(machine.parts) > SMALL else 1


def with_others(workers: int, solve: Callable[[], Pricer]) -> tuple[Pricer, Others | None]:
    """The job, and the processes that were begun before it was solved; none for one worker."""
    others = Others(workers) if workers > 1 else None
    try:
        return solve(), others
    except BaseException:
        if others is not None:
            others.__exit__()
        raise


def _by_others(
    others: Others, desk: Pricer, changes: Sequence[Change]
) -> Generator[tuple[Change, Price], None, None]:
    with others:
        yield from others.answers(desk, changes)


_known: tuple[bytes, Pricer] | None = None
"""In a process of the pool: the job that it was asked about last."""


def _begin() -> None:
    """The keyboard is the main process's business; and such a process is over before its rubbish counts."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.disable()


def _load() -> None:
    """Load what a question needs."""


def _price(packed: bytes, change: Change) -> Price:
    global _known  # noqa: PLW0603 - a process of its own keeps what it was sent
    if _known is None or _known[0] != packed:
        _known = (packed, pickle.loads(packed))  # noqa: S301 - from our own main process
    return _known[1].price(change)
