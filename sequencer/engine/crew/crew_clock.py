"""What may still be spent, and one run of CP-SAT within it."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, field

from sequencer.engine.crew.cp_model import Model
from sequencer.engine.crew.crew_problem import CrewLimits, Timetable

SEED = 1
SLICE = 0.05
"""Seconds between two looks at the keyboard."""


@dataclass
class Clock:
    """Counts CP-SAT's deterministic time and watches the wall clock.

    Attributes:
        work: Deterministic time spent so far.
        interrupted: Stopped from the keyboard.
    """

    limits: CrewLimits
    work: float = 0.0
    began: float = field(default_factory=time.monotonic)
    interrupted: bool = False

    @property
    def over(self) -> bool:
        """Whether a limit is reached."""
        return self.interrupted or self.left <= 0 or self.seconds_left <= 0

    @property
    def left(self) -> float:
        """Deterministic time left."""
        return float("inf") if self.limits.work is None else self.limits.work - self.work

    @property
    def seconds_left(self) -> float:
        """Wall-clock seconds left."""
        spent = time.monotonic() - self.began
        return float("inf") if self.limits.seconds is None else self.limits.seconds - spent


@dataclass(frozen=True)
class Run:
    """What one run came to: a timetable if it found one, and a bound on the model's length."""

    timetable: Timetable | None
    bound: int
    proven: bool


def run(model: Model, clock: Clock, work: float, gap: float = 0.0, *, plain: bool = False) -> Run:
    """Solve a model with one worker and a fixed seed, for at most ``work``.

    The solver runs in a thread of its own, so that an interruption from the keyboard is seen at once; it
    ends the run, and what was found until then counts. ``plain`` leaves out linear relaxation, probing and
    symmetry: half the time on windows, where they find no more, but no way to a bound on the whole.
    """
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    told = solver.parameters
    told.num_workers = 1
    told.random_seed = SEED
    told.catch_sigint_signal = False
    told.relative_gap_limit = gap
    if plain:
        told.linearization_level = told.cp_model_probing_level = told.symmetry_level = 0
    if min(work, clock.left) < float("inf"):
        told.max_deterministic_time = max(0.0, min(work, clock.left))
    if clock.seconds_left < float("inf"):
        told.max_time_in_seconds = max(0.0, clock.seconds_left)
    status = _solve(solver, model, clock)
    clock.work += solver.response_proto.deterministic_time
    if status == cp_model.INFEASIBLE:  # what is known fits the model, so that this is a fault of the model
        raise AssertionError("the model has no room for the timetable that it was made from")
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Run(None, 0, proven=False)
    bound = model.bound(solver)
    return Run(model.timetable(solver), bound, proven=status == cp_model.OPTIMAL and not gap)


def _solve(solver: object, model: Model, clock: Clock) -> object:
    from ortools.sat.python import cp_model

    assert isinstance(solver, cp_model.CpSolver)
    found: list[object] = []
    thread = threading.Thread(target=lambda: found.append(solver.solve(model.cp)))
    thread.start()
    while thread.is_alive():
        try:
            thread.join(SLICE)
        except KeyboardInterrupt:
            clock.interrupted = True
            solver.stop_search()
    return found[0]
