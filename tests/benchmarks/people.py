"""Do the hours hold? Simulated people do jobs: ``python -m tests.benchmarks.people [--full]``.

Printed, through what a plan and a job's status say in public: in how many whole jobs the time lies in the
8-in-10 range before any record, how wide that is, and how it is for the quickest and the slowest fifth of
people; the same with heavier tails; and how what is left is told after a part of the same job. Who the people
are stands in `people_at_work`, the machines in `people_machines`.

A job under way is kept in a real journal: ticked by step or by station, with sittings of some two and a half
hours, and 3 ticks in 100 (a forgotten stop) one to eight hours late. Trouble is told to nobody.
"""

from __future__ import annotations

import argparse
import random
import tempfile
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

from sequencer.job.changes.begin import begin, copied
from sequencer.job.desk import By, Desk
from sequencer.job.reports.status import status
from sequencer.plan.plan import Hours, Plan
from tests.benchmarks.people_at_work import HEAVY, Crowd, Job, Tails, World, draw
from tests.benchmarks.people_machines import plans

FORGOTTEN = 0.03
SITTING = 2.5 * 3600
BEGINS = datetime(2026, 3, 2, 18, tzinfo=UTC)


@dataclass(frozen=True)
class Told:
    """What a range said, and what it then took; all in seconds."""

    low: float
    likely: float
    high: float
    took: float
    person: float = 1.0

    @property
    def held(self) -> bool:
        return self.low <= self.took <= self.high

    @property
    def error(self) -> float:
        """How far the middle was off, as a share of what it took."""
        return abs(self.likely - self.took) / self.took


def whole_jobs(made: Sequence[tuple[str, Plan]], jobs: int, world: World, seed: str = "whole") -> list[Told]:
    """What each plan says before any record, against people who do it: ``jobs``, spread over the plans."""
    rng, found = random.Random(f"{seed} {world}"), []
    for number in range(jobs):
        _, plan = made[number % len(made)]
        found.append(_told(plan.hours, draw(plan, rng, world)))
    return found


def _told(hours: Hours, job: Job, left: float | None = None) -> Told:
    took = job.seconds if left is None else left
    return Told(float(hours.low), float(hours.likely), float(hours.high), took, job.person)


@dataclass(frozen=True)
class UnderWay:
    """One job after a share of its work: what is left as its status tells it, and without its record."""

    share: float
    by_record: Told
    before_any: Told


def under_way(
    text: str, plan: Plan, rng: random.Random, world: World, shares: Sequence[float], late: float = FORGOTTEN
) -> list[UnderWay]:
    """Do the job at a desk up to the last share of its planned time, and ask the status at each."""
    job, found = draw(plan, rng, world), []
    left = {step.operation.name: taken for step, taken in zip(plan.steps, job.taken, strict=True)}
    with tempfile.TemporaryDirectory(prefix="people-") as place:
        file = Path(place) / "machine.yaml"
        file.write_text(text, encoding="utf-8")
        folder = begin(Path(place) / "job", plan, copied(file), By("Ann", "a", BEGINS), title="Simulated")
        with Desk(folder) as desk:
            clock = _Clock(desk, rng, late)
            asked, done, whole = list(shares), 0.0, float(plan.totals.seconds)
            for steps in ticks(plan, rng):
                names = [step.operation.name for step in steps]
                clock.tick(names, sum(left.pop(name) for name in names))
                done += float(sum(step.seconds + step.change_seconds for step in steps))
                while asked and done >= asked[0] * whole and left:
                    found.append(_asked(desk, asked.pop(0), job, sum(left.values())))
                if not asked:
                    break
    return found


def _asked(desk: Desk, share: float, job: Job, left: float) -> UnderWay:
    moment = desk.moment()
    hours = status(moment, "Ann").hours
    assert hours is not None
    return UnderWay(share, _told(hours, job, left), _told(moment.plan.hours, job, left))


def ticks(plan: Plan, rng: random.Random) -> Iterable[Sequence]:
    """Half of all people tick step by step, the others a station at a time."""
    if rng.random() < 0.5:
        return ((step,) for step in plan.steps)
    return (station.steps for station in plan.stations)


class _Clock:
    """When things are said at a desk."""

    def __init__(self, desk: Desk, rng: random.Random, late: float) -> None:
        self.desk, self.rng, self.late = desk, rng, late
        self.now, self.sat = BEGINS, 0.0
        desk.resume(by=self._by())

    def _by(self) -> By:
        return By("Ann", "a", self.now)

    def tick(self, names: Sequence[str], taken: float) -> None:
        self.sat += taken
        self.now += timedelta(seconds=taken)
        if self.rng.random() < self.late:
            self.now += timedelta(hours=self.rng.uniform(1, 8))
        self.desk.done(names, by=self._by())
        if self.sat > SITTING:
            self.desk.stop(by=self._by())
            self.now, self.sat = self.now + timedelta(hours=21), 0.0
            self.desk.resume(by=self._by())


def share(of: Iterable[bool]) -> float:
    """Of so many, how many; in percent."""
    some = list(of)
    return 100 * sum(some) / len(some)


def row(told: Sequence[Told]) -> str:
    """Held, too quick, too slow; width; what it took by the likely figure; the middle's error."""
    held, below = share(one.held for one in told), share(one.took < one.low for one in told)
    wide, error = median(one.high / one.low for one in told), 100 * median(one.error for one in told)
    took = median(one.took / one.likely for one in told)
    counted = f"{len(told):6} {held:6.1f} {below:6.1f} {100 - held - below:6.1f}"
    return f"{counted} {wide:7.2f} {took:7.2f} {error:7.1f}"


HEAD = (
    f"{'':46}{'jobs':>6} {'held%':>6} {'below%':>6} {'above%':>6} {'hi/lo':>7} {'took/li':>7} {'error%':>7}"
)


def fifths(told: Sequence[Told]) -> tuple[list[Told], list[Told]]:
    """The jobs of the quickest and of the slowest fifth of people."""
    ranked = sorted(told, key=lambda one: one.person)
    return ranked[: len(ranked) // 5], ranked[-(len(ranked) // 5) :]


def print_whole(made: Sequence[tuple[str, Plan]], jobs: int) -> None:
    """Before any record."""
    print(HEAD)
    for name, world in (
        ("people even from 0.6 to 2.5", World()),
        ("most in the middle of that", World(Crowd.MIDDLING)),
        ("even, half of them slower than the file", World(Crowd.CENTRED)),
        ("heavier tails, double trouble", HEAVY),
        ("heavier beyond the ends, double trouble", World(tails=Tails.BEYOND, trouble=2)),
        ("heavier tails, half slower than the file", World(Crowd.CENTRED, Tails.STUDENT, 2)),
    ):
        told = whole_jobs(made, jobs, world)
        quick, slow = fifths(told)
        for who, some in ((name, told), ("  quickest fifth", quick), ("  slowest fifth", slow)):
            print(f"{who:46}{row(some)}")


def print_left(made: Sequence[tuple[str, Plan]], jobs: int) -> None:
    """What is left of a job under way, with and without what its record says."""
    ways_in = [(text, plan) for text, plan in made if not plan.back]
    print(HEAD)
    for name, world, late, many in (
        ("", World(), FORGOTTEN, jobs),
        (", half slower than the file", World(Crowd.CENTRED), FORGOTTEN, jobs // 2),
        (", no stop forgotten", World(), 0.0, jobs // 2),
        (", heavier tails", HEAVY, FORGOTTEN, jobs // 2),
    ):
        found: list[UnderWay] = []
        for number in range(many):
            text, plan = ways_in[number % len(ways_in)]
            found += under_way(text, plan, random.Random(f"desk {number}"), world, (0.25, 0.5), late)
        for part in (0.25, 0.5):
            here = [one for one in found if one.share == part]
            print(f"{f'left after {part:.0%}{name}':46}{row([one.before_any for one in here])}")
            ratio = median(one.by_record.error for one in here) / median(one.before_any.error for one in here)
            print(f"{'  by its record':46}{row([one.by_record for one in here])}  error × {ratio:.2f}")


def main() -> None:
    """Draw, ask, and print the tables."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--machines", type=int, default=25)
    options.add_argument("--jobs", type=int, default=500)
    options.add_argument("--desks", type=int, default=60)
    options.add_argument("--full", action="store_true", help="1,000 jobs, and 200 at a desk")
    asked = options.parse_args()
    jobs, desks = (1000, 200) if asked.full else (asked.jobs, asked.desks)
    made = plans(asked.machines)
    steps = sorted(len(plan.steps) for _, plan in made)
    print(f"{len(made)} plans of {steps[0]} to {steps[-1]} steps, median {median(steps):.0f}\n")
    print_whole(made, jobs)
    print()
    print_left(made, desks)
    print(f"\n{time.process_time():.0f} s of CPU in all")


if __name__ == "__main__":
    main()
