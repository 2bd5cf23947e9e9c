"""What a run of the tests has asked the engine once is not solved again: the answer is remembered.

Every test asks in its own words and gets what the engine has really answered; only the second time costs
nothing. That is right since the same question has the same answer, which the tests that take
``engine_afresh`` hold the engine to.
"""

import importlib
import time

import pytest

from sequencer.engine.conversation import ask as ask_anew
from sequencer.engine.crew import CrewLimits
from sequencer.engine.crew import schedule as schedule_anew
from sequencer.engine.problem import Limits, Status

SOLVE = importlib.import_module("sequencer.engine.solve")
CREW = importlib.import_module("sequencer.plan.crew")
"""The modules through which the house asks; the packages have functions of these names."""

FOR_GOOD = (Status.PROVEN, Status.IMPOSSIBLE)

_orders, _schedules = {}, {}


def ask(problem, limits=None, progress=None, warm=None):
    """As the engine's ``ask``. Whoever watches the progress, and whoever has less room, asks anew."""
    limits = limits or Limits()
    key = (problem, limits.gap, limits.memory_states, None if warm is None else tuple(warm))
    if progress is None and key in _orders:
        asked, took = _orders[key]
        enough = limits.states is None or asked.result.counters.states < limits.states
        if enough and (limits.seconds is None or took < limits.seconds / 2):
            return asked
    began = time.monotonic()
    asked = ask_anew(problem, limits, progress, warm)
    if asked.result.status in FOR_GOOD:
        _orders[key] = (asked, time.monotonic() - began)
    return asked


def schedule(problem, order=None, limits=None, progress=None):
    """As the engine's ``schedule``; where a clock may cut it short, or someone watches, it works anew."""
    limits = limits or CrewLimits()
    if progress is not None or limits.seconds is not None:
        return schedule_anew(problem, order, limits, progress)
    key = (problem, None if order is None else tuple(order), limits)
    if key not in _schedules:
        found = schedule_anew(problem, order, limits)
        if found.interrupted:
            return found
        _schedules[key] = found
    return _schedules[key]


@pytest.fixture(scope="session", autouse=True)
def _engine_remembers():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(SOLVE, "ask", ask)
        patch.setattr(CREW, "schedule", schedule)
        yield


@pytest.fixture
def engine_afresh(monkeypatch):
    """Each question is solved, however often it is asked."""
    monkeypatch.setattr(SOLVE, "ask", ask_anew)
    monkeypatch.setattr(CREW, "schedule", schedule_anew)
