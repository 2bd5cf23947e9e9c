"""A schedule for several people as JSON, beside the fields of the plan for one."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from sequencer.document.crew_bars import initial
from sequencer.plan.crew import Schedule, Visit
from sequencer.plan.crew_waits import waits


def schedule_json(schedule: Schedule) -> dict[str, Any]:
    """The object ``schedule``; times in seconds from the beginning, ``step`` the step of the plan for one."""
    waiting: dict[int, list[dict[str, Any]]] = {}
    for wait in waits(schedule):
        waiting.setdefault(wait.turn, []).append(
            {
                "person": initial(wait.person),
                "after": wait.after,
                "of": initial(wait.of),
                "for": wait.thing.kind if wait.thing else "work",
                "thing": wait.thing.name if wait.thing else None,
            }
        )
    return {
        "people": schedule.people,
        "handles": schedule.handles,
        "seconds": number(schedule.seconds),
        "bound_seconds": number(schedule.bound_seconds),
        "proven": schedule.proven,
        "cut_short": schedule.cut_short,
        "one_person_seconds": number(schedule.plan.totals.seconds),
        "few": [
            {"kind": thing.kind, "name": thing.name, "count": count}
            for thing, count in schedule.things.items()
        ],
        "turns": [
            {
                "number": turn.number,
                "step": turn.step.number,
                "op": turn.step.operation.name,
                "people": [initial(person) for person in turn.people],
                "start": number(turn.start),
                "end": number(turn.end),
                "waits": waiting.get(turn.number, []),
            }
            for turn in schedule.turns
        ],
        "persons": [
            {"name": initial(person), "visits": [_visit(visit) for visit in visits]}
            for person, visits in enumerate(schedule.visits)
        ],
    }


def _visit(visit: Visit) -> dict[str, Any]:
    return {
        "turn": visit.turn.number,
        "position": visit.turn.step.operation.position,
        "tool": visit.tool,
        "change_seconds": number(visit.change_seconds),
        "wait_seconds": number(visit.wait_seconds),
    }


def number(value: Fraction) -> int | float:
    """Whole numbers stay whole; the rest is as near as a float comes."""
    return int(value) if value.denominator == 1 else float(value)
