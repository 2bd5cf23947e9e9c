"""A schedule for several people, beside the fields of the plan for one."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, Any

from sequencer.document.plans.crew_bars import initial
from sequencer.plan.closing.toolbox import Equipment
from sequencer.plan.crew.crew import Schedule
from sequencer.plan.crew.crew_waits import CrewWait, waits
from sequencer.render.data.plain import FLAT, Record
from sequencer.render.data.plans.plan import TeardownData, teardown_data


class FewData(Record):
    """Something of which there are only so many."""

    kind: str
    name: str
    count: int


class WaitData(Record):
    """What a turn of one person waits for."""

    person: str
    after: Annotated[int, "The turn that is waited for."]
    of_: Annotated[str, "Who does that."]
    for_: Annotated[str, "`work`, or the kind of `thing` that the other gives up."]
    thing: str | None


class TurnData(Record):
    """A step as somebody does it, in seconds from the beginning."""

    number: int
    step: Annotated[int, "The step of the plan for one."]
    op: str
    people: Sequence[str]
    start: Fraction
    end: Fraction
    waits: Sequence[WaitData]


class VisitData(Record):
    """A person's coming to a position."""

    turn: int
    position: str
    tool: str
    change_seconds: Fraction
    wait_seconds: Fraction


class PersonData(Record):
    """A person's way through the job."""

    name: str
    visits: Sequence[VisitData]


class ScheduleData(Record):
    """The job shared out among several people."""

    people: int
    handles: int
    seconds: Fraction
    likely_seconds: Annotated[int, "As often longer as shorter."]
    range_seconds: Annotated[Sequence[int], "Eight times in ten it takes between so long."]
    bound_seconds: Fraction
    proven: bool
    cut_short: bool
    one_person_seconds: Fraction
    few: Sequence[FewData]
    turns: Sequence[TurnData]
    persons: Sequence[PersonData]


class SharedPlanData(Record):
    """A way in, and how it is shared out."""

    plan: Annotated[TeardownData, FLAT]
    schedule: ScheduleData


def schedule_json(schedule: Schedule, kit: Equipment | None = None) -> dict[str, Any]:
    """The plan that is shared out, as ``teardown_json`` has it, and beside it the object ``schedule``."""
    return SharedPlanData(plan=teardown_data(schedule.plan, kit), schedule=schedule_data(schedule)).plain()


def schedule_data(schedule: Schedule) -> ScheduleData:
    """Who does what, and when."""
    waiting: dict[int, list[WaitData]] = {}
    for wait in waits(schedule):
        waiting.setdefault(wait.turn, []).append(_wait(wait))
    return ScheduleData.of(
        schedule,
        likely_seconds=schedule.hours.likely,
        range_seconds=(schedule.hours.low, schedule.hours.high),
        one_person_seconds=schedule.plan.totals.seconds,
        few=[FewData.of(thing, count=count) for thing, count in schedule.things.items()],
        turns=[
            TurnData.of(
                turn,
                step=turn.step.number,
                op=turn.step.operation.name,
                people=[initial(person) for person in turn.people],
                waits=waiting.get(turn.number, ()),
            )
            for turn in schedule.turns
        ],
        persons=[
            PersonData(
                name=initial(person),
                visits=[
                    VisitData.of(visit, turn=visit.turn.number, position=visit.turn.step.operation.position)
                    for visit in visits
                ],
            )
            for person, visits in enumerate(schedule.visits)
        ],
    )


def _wait(wait: CrewWait) -> WaitData:
    thing = wait.thing
    return WaitData(
        person=initial(wait.person),
        after=wait.after,
        of_=initial(wait.of),
        for_=thing.kind if thing else "work",
        thing=thing.name if thing else None,
    )
