"""The machines that ship: read, and each typical job planned both ways once for all that ask about it."""

from functools import cache
from pathlib import Path

from sequencer.graph import parse_targets
from sequencer.machine import read_text
from sequencer.plan import Prefer, plan_refit, plan_teardown
from sequencer.plan.practice.rules import Practice
from tests.plan.jobs import NO_LIMITS, names

FOLDER = Path(__file__).parents[2] / "models"
ALL = sorted(path.stem for path in FOLDER.glob("*.yaml"))


@cache
def machine(name):
    file = FOLDER / f"{name}.yaml"
    reading = read_text(file.read_text("utf-8"), str(file))
    assert [str(fault) for fault in reading.faults] == []
    return reading.machine


@cache
def both_ways(name, job):
    """The plan of a typical job, and of its way back, with good practice."""
    model = machine(name)
    targets = parse_targets(model, model.jobs[job].off)
    removal = plan_teardown(model, targets, Prefer.TIME, NO_LIMITS, practice=Practice.ALL)
    return removal, plan_refit(removal, Prefer.TIME, NO_LIMITS, practice=Practice.ALL)


def orders(name, job):
    """The operations of a job, way in and way back, by their names."""
    return tuple(names(plan) for plan in both_ways(name, job))


def comes(order, *these):
    """Whether the operations come in this order, all of them."""
    places = [order.index(one) for one in these]
    return places == sorted(places)
