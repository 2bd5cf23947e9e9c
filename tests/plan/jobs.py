"""What the tests of this room ask again and again: a machine's text read, and planned."""

from __future__ import annotations

from functools import cache

from sequencer.engine.problem import Limits
from sequencer.graph import parse_targets
from sequencer.graph.targets import Target as OwnTarget
from sequencer.machine import Machine, read_text
from sequencer.plan import Prefer, Refit, Teardown, plan_refit, plan_teardown
from sequencer.plan.practice.rules import Practice
from tests.support.plain_machine import Target, as_data, as_text

NO_LIMITS = Limits()


@cache
def machine_of(text: str) -> Machine:
    reading = read_text(text, "machine.yaml")
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    return reading.machine


def own_targets(machine: Machine, targets: list[Target]) -> tuple[OwnTarget, ...]:
    return parse_targets(
        machine,
        [what for verb, what in targets if verb == "off"],
        [what for verb, what in targets if verb == "reach"],
    )


def teardown(
    text: str,
    targets: list[Target],
    prefer: Prefer = Prefer.TIME,
    limits: Limits = NO_LIMITS,
    practice: Practice = Practice.NONE,
) -> Teardown:
    machine = machine_of(text)
    return plan_teardown(machine, own_targets(machine, targets), prefer, limits, practice=practice)


def there_and_back(
    text: str,
    targets: list[Target],
    prefer: Prefer = Prefer.TIME,
    limits: Limits = NO_LIMITS,
    practice: Practice = Practice.NONE,
) -> tuple[Teardown, Refit]:
    way_in = teardown(text, targets, prefer, limits, practice)
    return way_in, plan_refit(way_in, prefer, limits, practice=practice)


def names(plan: Teardown | Refit) -> list[str]:
    return [operation.name for operation in plan.operations]


def by_hand_where_nothing_is_said(text: str) -> str:
    """The file with `tool: hand` on each joint without head and tool, for the independent reading."""
    machine = as_data(text)
    for part in machine["parts"].values():
        for joint in part.get("joints", {}).values():
            if not {"head", "tool"} & set(joint):
                joint["tool"] = "hand"
    return as_text(machine)
