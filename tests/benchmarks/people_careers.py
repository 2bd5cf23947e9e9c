"""Simulated people who do one job after another: what their records make of the next.

`python -m tests.benchmarks.people_careers`. A person keeps their factor for life; each machine keeps its
state, rust and years as often as somebody works on it. Of a career all jobs are on machines of their own, or
all on one machine, in and back by turns. Clocks and ticks are those of `people`: by step or by station, 3 in
100 late.

Printed, after no record, 1, 3 and 10 jobs, of the same next job: how often whole jobs, and sittings, lie in
their 8-in-10 range; how wide that is against none; what is left after a quarter and a half, by all that is
known then. The oracle is told the person's factor, and of the machine its state, rust and years; it draws by
the simulator.
"""

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from statistics import median

from sequencer.machine.facts.learned import Learned
from sequencer.plan.hours.hours import Hours, draws, hours_in
from sequencer.plan.hours.records import JobRecord, Stretch, judged, known_from, usual
from sequencer.plan.plan import Plan
from tests.benchmarks.people import FORGOTTEN, HEAD, Told, fifths, row, ticks
from tests.benchmarks.people_at_work import HEAVY, Crowd, Job, Thing, World, draw
from tests.benchmarks.people_machines import plans

AFTER = (0, 1, 3, 10)
SITTING = Fraction(40 * 60)
ORACLE_DRAWS = 200


@dataclass(frozen=True)
class Chapter:
    """One job of a career, and what its record has of it."""

    plan: Plan
    thing: Thing
    job: Job
    stretches: tuple[Stretch, ...]


def career(
    made: Sequence[Plan], rng: random.Random, world: World, jobs: int, one_machine: bool
) -> list[Chapter]:
    """So many jobs of one person."""
    person, found = world.person(rng), list[Chapter]()
    first, here = rng.randrange(len(made) // 2), Thing.drawn(rng)
    for number in range(jobs):
        place = 2 * first + number % 2 if one_machine else rng.randrange(len(made))
        thing = here if one_machine else Thing.drawn(rng)
        job = draw(made[place], rng, world, person, thing)
        found.append(Chapter(made[place], thing, job, tuple(_clocked(made[place], job, rng))))
    return found


def _clocked(plan: Plan, job: Job, rng: random.Random) -> Iterator[Stretch]:
    at = 0
    for steps in ticks(plan, rng):
        taken = sum(job.taken[at : at + len(steps)])
        at += len(steps)
        late = 3600 * rng.uniform(1, 8) if rng.random() < FORGOTTEN else 0.0
        yield Stretch(steps, taken + late)


LEFT_AFTER = (0, 3)
"""What is left of a job is asked after so many others only: it is slow."""


@dataclass(frozen=True)
class Next:
    """What is said of one job after so many others, in all the ways that are asked."""

    after: int
    whole: Told
    sittings: tuple[Told, ...]
    quarter: Told | None = None
    half: Told | None = None
    unknown: Told | None = None
    """What is left after a quarter, by nothing."""


def judge(chapters: Sequence[Chapter], one_machine: bool) -> Iterator[Next]:
    """What is said of the last job after the first of those before it."""
    *before, last = chapters
    records, known = list[JobRecord](), usual()
    for number in range(len(before) + 1):
        if number in AFTER:
            yield _next(number, last, known)
        if number < len(before):
            one = before[number]
            name = "this one" if one_machine else f"{number}"
            machine = replace(one.plan.machine, name=name)
            told = judged(known_from(records, machine), machine, one.stretches)
            rust = machine.condition.rust or ""
            records.append(JobRecord(str(number), told.told, name, rust, "", told.trouble, told.luck))
            here = replace(last.plan.machine, name="this one" if one_machine else "next")
            known = known_from(records, here)


def _next(after: int, last: Chapter, known: Learned) -> Next:
    """Whole jobs and sittings are added up from the same draws, as a plan does it."""
    plan = last.plan
    steps = draws(plan.machine, plan.steps, known, plan.earlier).steps
    sittings = [
        _told(hours_in(steps[here].sum(axis=0)), sum(last.job.taken[here]), last) for here in _sittings(plan)
    ]
    found = Next(after, _told(hours_in(steps.sum(axis=0)), last.job.seconds, last), tuple(sittings))
    if after not in LEFT_AFTER:
        return found
    left = [_left(plan, last, known, share) for share in (0.25, 0.5)]
    return replace(found, quarter=left[0], half=left[1], unknown=_left(plan, last, None, 0.25))


def _sittings(plan: Plan) -> Iterator[slice]:
    """A plan cut where `SITTING` of its own time is over."""
    begun, spent = 0, Fraction(0)
    for at, step in enumerate(plan.steps, 1):
        spent += step.seconds + step.change_seconds
        if spent >= SITTING or at == len(plan.steps):
            yield slice(begun, at)
            begun, spent = at, Fraction(0)


def _told(hours: Hours, took: float, last: Chapter) -> Told:
    return Told(hours.low, hours.likely, hours.high, took, last.job.person)


def _left(plan: Plan, last: Chapter, known: Learned | None, share: float) -> Told:
    """After a share of the planned time: by all records and what this job has told; None: by neither."""
    done, planned, stretches = 0, 0.0, list[Stretch]()
    for stretch in last.stretches:
        if planned >= share * float(plan.totals.seconds) or done + len(stretch.steps) >= len(plan.steps):
            break
        stretches.append(stretch)
        done += len(stretch.steps)
        planned += sum(float(step.seconds + step.change_seconds) for step in stretch.steps)
    after = judged(known, plan.machine, stretches).known if known else None
    gone = tuple(step.operation.name for step in plan.steps[:done])
    rest = replace(plan, steps=plan.steps[done:], earlier=(*plan.earlier, *gone))
    return _told(rest.hours_with(after), sum(last.job.taken[done:]), last)


def oracle(made: Sequence[Plan], people: int, world: World, seed: str) -> dict[str, list[Told]]:
    """The next jobs as who knows the person's and the machine's true factors says them."""
    found: dict[str, list[Told]] = {"whole": [], "quarter": [], "half": []}
    for number in range(people):
        rng = random.Random(f"{seed} {number}")
        plan, person, thing = made[number % len(made)], world.person(rng), Thing.drawn(rng)
        job, *others = (draw(plan, rng, world, person, thing) for _ in range(ORACLE_DRAWS + 1))
        planned = [float(step.seconds + step.change_seconds) for step in plan.steps]
        for what, share in (("whole", 0.0), ("quarter", 0.25), ("half", 0.5)):
            done = next(n for n in range(len(planned)) if sum(planned[:n]) >= share * sum(planned))
            ranked = sorted(sum(one.taken[done:]) for one in others)
            low, likely, high = (ranked[int(part * len(ranked))] for part in (0.1, 0.5, 0.9))
            found[what].append(Told(low, likely, high, sum(job.taken[done:]), person))
    return found


WORLDS = {
    "even": World(),
    "middling": World(Crowd.MIDDLING),
    "centred": World(Crowd.CENTRED),
    "heavy": HEAVY,
}


def print_careers(made: Sequence[Plan], people: int, name: str, one_machine: bool, first: int) -> None:
    """A block of the table."""
    told = list[Next]()
    for number in range(first, first + people):
        rng = random.Random(f"career {name} {one_machine} {number}")
        told += judge(career(made, rng, WORLDS[name], AFTER[-1] + 1, one_machine), one_machine)
        if (number + 1) % PIECE == 0 or number + 1 == first + people:
            where = "one machine" if one_machine else "a machine each"
            print(f"{name}, {where}, people {first} to {number}")
            _table(told)


PIECE = 100
"""People after whom what is known so far is printed."""


def _table(told: Sequence[Next]) -> None:
    print(HEAD)
    none = [one.whole for one in told if one.after == 0]
    for after in AFTER:
        here = [one for one in told if one.after == after]
        whole, sittings = [one.whole for one in here], [told for one in here for told in one.sittings]
        width = sum(one.high - one.low for one in whole) / sum(one.high - one.low for one in none)
        each = median((a.high - a.low) / (b.high - b.low) for a, b in zip(whole, none, strict=True))
        print(f"{f'whole job, after {after}':46}{row(whole)}  width × {width:.2f} (median × {each:.2f})")
        for who, some in zip(("  quickest fifth", "  slowest fifth"), fifths(whole), strict=True):
            print(f"{who:46}{row(some)}")
        print(f"{f'sittings, after {after}':46}{row(sittings)}")
        for what, left in (
            ("left after a quarter, by nothing", [one.unknown for one in here if one.unknown]),
            (f"left after a quarter, after {after}", [one.quarter for one in here if one.quarter]),
            (f"left after half, after {after}", [one.half for one in here if one.half]),
        ):
            if left:
                print(f"{what:46}{row(left)}")
    print(f"{time.process_time():.0f} s of CPU so far\n", flush=True)


def main() -> None:
    """Draw, ask, and print the tables."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--machines", type=int, default=25)
    options.add_argument("--people", type=int, default=100)
    options.add_argument("--first", type=int, default=0, help="the first of them, to go on in pieces")
    options.add_argument("--world", choices=WORLDS, default="even")
    options.add_argument("--one-machine", action="store_true")
    options.add_argument("--oracle", action="store_true")
    asked = options.parse_args()
    made = [plan for _, plan in plans(asked.machines)]
    if asked.oracle:
        print(HEAD)
        for what, told in oracle(made, asked.people, WORLDS[asked.world], asked.world).items():
            print(f"{f'oracle, {asked.world}, {what}':46}{row(told)}")
    else:
        print_careers(made, asked.people, asked.world, asked.one_machine, asked.first)
    print(f"{time.process_time():.0f} s of CPU in all")


if __name__ == "__main__":
    main()
