"""The door: who does what when, so that the work of several people is over as early as possible."""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.engine.crew.cp_model import Model, items_of
from sequencer.engine.crew.crew_bounds import lower_bound
from sequencer.engine.crew.crew_clock import Clock, run
from sequencer.engine.crew.crew_numbers import check, check_limits
from sequencer.engine.crew.crew_problem import (
    CrewLimits,
    CrewProblem,
    CrewProgress,
    CrewResult,
    Timetable,
)
from sequencer.engine.crew.dispatch import list_schedules
from sequencer.engine.crew.floor import replay
from sequencer.engine.crew.neighbourhoods import Walk
from sequencer.engine.crew.paths import Paths
from sequencer.engine.crew.windows import scope_of, windows
from sequencer.engine.errors import ProblemError
from sequencer.engine.problem import Status

SMALL = 24
"""Items up to which the whole is asked for at once."""

SIZES = (16, 24, 32)
"""Operations in a window, from pass to pass; the next size when one brings nothing more."""

WALK_PER_WORK = 200
"""Steps of the walk for each unit of work: about as long as that takes."""

WALK_UNLIMITED = 2000
"""Steps of the walk where nothing limits it."""

WINDOW_WORK = 0.3
"""Deterministic time for one window."""

IMPROVING, PROVABLE = 0.75, 60
"""Share of the work for windows where the rest may raise the bound; above so many items it never did."""


def schedule(
    problem: CrewProblem,
    order: Sequence[int] | None = None,
    limits: CrewLimits | None = None,
    progress: CrewProgress | None = None,
) -> CrewResult:
    """Share operations out among people and time them.

    List schedules come first, then CP-SAT on windows of the best one, then CP-SAT on the whole for a bound.
    The answer is the same for the same arguments, unless ``limits.seconds`` or the keyboard comes first.

    Args:
        problem: What is to be done, by how many.
        order: The operations in an order that meets every need, for example that of one person.
        limits: When to stop.
        progress: Called with (length, bound) whenever either improves.

    Raises:
        ProblemError: The problem's numbers don't fit together, or its needs can't be met.
    """
    limits = limits or CrewLimits()
    check(problem)
    check_limits(limits)
    paths = Paths(problem)
    if not problem.durations:
        return CrewResult(Status.PROVEN, Timetable(()), 0, 0)
    search = _Search(problem, paths, Clock(limits), progress)
    search.begin(tuple(order) if order is not None else paths.order)
    listed = search.best.length
    try:
        if len(items_of(problem)) > SMALL:
            search.walk()
            search.improve()
        search.prove()
    except KeyboardInterrupt:
        search.clock.interrupted = True
    status = Status.PROVEN if search.bound >= search.best.length else Status.BEST_KNOWN
    return CrewResult(status, search.best, search.bound, listed, search.clock.interrupted)


class _Search:
    """The best timetable so far, its bound, and what may still be spent."""

    def __init__(
        self, problem: CrewProblem, paths: Paths, clock: Clock, progress: CrewProgress | None
    ) -> None:
        self.problem, self.paths, self.clock = problem, paths, clock
        self.best = Timetable(())
        self.bound = lower_bound(problem, paths)
        self._progress = progress

    @property
    def enough(self) -> bool:
        """Whether to stop: proven, close enough, or out of time."""
        length = self.best.length
        return length - self.bound <= self.clock.limits.gap * length or self.clock.over

    def begin(self, order: tuple[int, ...]) -> None:
        """Try the list schedules; the keyboard and the wall clock end that early once there is one."""
        try:
            for found in list_schedules(self.problem, self.paths, order):
                self._take(found)
                if self.clock.seconds_left <= 0:
                    break
        except KeyboardInterrupt:
            self.clock.interrupted = True
            if not self.best.turns:
                raise
        if not self.best.turns:
            raise ProblemError("no list schedule gets through: too little is there of what is held")

    def walk(self) -> None:
        """Move operations about, a third of what may be spent."""
        walk = Walk(self.problem, self.best)
        limits = self.clock.limits
        steps = int(WALK_PER_WORK * limits.work) if limits.work is not None else None
        until = None if limits.seconds is None else self.clock.seconds_left * 2 / 3
        step = 0
        while (steps is None or step < steps) and not self.enough:
            if (steps is None and until is None and step >= WALK_UNLIMITED) or (
                until is not None and self.clock.seconds_left < until
            ):
                break
            step += 1
            found = walk.step()
            if found is not None and found.length < self.best.length:
                self._take(found)

    def improve(self) -> None:
        """Solve windows anew, larger ones when a pass brings nothing."""
        provable = len(items_of(self.problem)) <= PROVABLE
        reserve = (1 - IMPROVING) * (self.clock.limits.work or 0.0) if provable else 0.0
        for size in SIZES:
            better = True
            while better and not self.enough and self.clock.left > reserve:
                better = self._pass(size, reserve)

    def prove(self) -> None:
        """Ask for the whole at once: mostly a better bound."""
        if self.enough:
            return
        model = Model(self.problem, self.paths, self.best, self.bound)
        found = run(model, self.clock, self.clock.left, self.clock.limits.gap)
        if found.timetable is not None:
            self._take(found.timetable)
        if found.bound > self.bound:
            self.bound = min(found.bound, self.best.length)
            self._tell()

    def _pass(self, size: int, reserve: float) -> bool:
        before = self.best.length
        for window in windows(self.best, size):
            if self.enough or self.clock.left <= reserve:
                break
            scope = scope_of(self.problem, self.best, window)
            model = Model(self.problem, self.paths, self.best, self.bound, scope)
            found = run(model, self.clock, WINDOW_WORK, plain=True)
            if found.timetable is not None:
                self._take(found.timetable, even=True)
        return self.best.length < before

    def _take(self, found: Timetable, *, even: bool = False) -> None:
        """Keep a timetable if it is better; with ``even``, also if it is as good."""
        earlier = replay(self.problem, found)
        if earlier is None:
            return  # operations of no length that wait for one another: no sequence of work
        if earlier.length <= found.length:
            found = earlier
        if not self.best.turns or found.length < self.best.length + even:
            shorter = not self.best.turns or found.length < self.best.length
            self.best = found
            if shorter:
                self._tell()

    def _tell(self) -> None:
        if self._progress is not None:
            self._progress(self.best.length, self.bound)
