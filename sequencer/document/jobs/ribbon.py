"""A whole job as a ribbon: stations in order, by place, with what is done, what is next, gates, cures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction

from sequencer.document.barring.things import Stage
from sequencer.document.clean import clean
from sequencer.document.steps.cards import station_code, station_time, worked_on
from sequencer.document.words import tool_words
from sequencer.graph.operations import Kind
from sequencer.job.now.moment import Moment
from sequencer.job.now.sittings import sittings_past
from sequencer.job.now.ways import ways_now
from sequencer.job.work.curing import cures, local_time
from sequencer.plan.evenings.evenings import as_ordered
from sequencer.plan.evenings.wish import SittingsWish
from sequencer.plan.plan import Plan, Station
from sequencer.wording import listing

_SEALED = frozenset({Kind.SEAL})


@dataclass(frozen=True)
class RibbonStation:
    """A station of a job.

    Attributes:
        code: As on every surface: ``A19``.
        about: What is worked on there.
        op: The step that it is opened at: the first that is left, or else the first.
        stage: How far it is; ``AWAY`` is done.
        gates: The steps at which a torque is still to be given; ``closed`` at how many it was.
        cures: Until when a sealant cures that was put on here; empty for none.
        who: Who did it, where several people work on the job.
    """

    code: str
    op: str
    tool: str
    about: str
    time: str
    stage: Stage
    gates: tuple[int, ...]
    closed: int
    cures: str
    who: str


@dataclass(frozen=True)
class RibbonRun:
    """Stations at one place, one after the other; ``sitting`` is named where one begins with them."""

    where: str
    sitting: str
    stations: tuple[RibbonStation, ...]


@dataclass(frozen=True)
class RibbonWay:
    """One way of a job, ``Apart`` or ``Back together``, whole and as a narrow screen has it.

    ``present`` is where work goes on; ``past`` and ``ahead`` are what is before and behind that.
    """

    title: str
    runs: tuple[RibbonRun, ...]

    @property
    def done(self) -> bool:
        """Whether nothing is left of it."""
        return not self.present

    @property
    def past(self) -> tuple[RibbonRun, ...]:
        """The runs before the first that has something left."""
        return self.runs[: self._first]

    @property
    def present(self) -> tuple[RibbonRun, ...]:
        """That run; none where all is done."""
        return self.runs[self._first : self._first + 1]

    @property
    def ahead(self) -> tuple[RibbonRun, ...]:
        """All after it."""
        return self.runs[self._first + 1 :]

    @property
    def _first(self) -> int:
        open_ = (any(one.stage is not Stage.AWAY for one in run.stations) for run in self.runs)
        return next((place for place, left in enumerate(open_) if left), len(self.runs))


def ribbon_of(moment: Moment, now: datetime | None = None) -> tuple[RibbonWay, ...]:
    """The ways of a job as far as they are planned, the one that it goes last; empty without a plan."""
    ways = ways_now(moment)
    plans: list[Plan] = [ways.into, *([ways.back] if ways.back else [])]
    plans = [plan for plan in plans if plan.steps]
    return tuple(_Ribbon(moment, plan, now or datetime.now(UTC)).way() for plan in plans)


class _Ribbon:
    def __init__(self, moment: Moment, plan: Plan, now: datetime) -> None:
        self.moment, self.plan = moment, plan
        state = moment.state
        self.going = plan.back is state.turned
        self.ticks = {tick.op: tick for tick in state.ticked if tick.back is plan.back}
        self.settled = {*self.ticks, *(state.skipped if self.going else state.done)}
        several = len(moment.card.people) > 1 or len({tick.person for tick in state.ticked} - {""}) > 1
        self.people = {str(op): tick.person for op, tick in self.ticks.items()} if several else {}
        self.next = moment.station.steps[0].operation.name if moment.station and self.going else ""
        self.curing = {
            cure.sealed: local_time(cure.until) for cure in cures(moment) if cure.runs(now) and cure.until
        }
        gates = getattr(plan, "gates", ())
        self.gates = {gate.step for gate in gates}

    def way(self) -> RibbonWay:
        return RibbonWay("Back together" if self.plan.back else "Apart", tuple(self._runs()))

    def _runs(self) -> Iterator[RibbonRun]:
        sittings = self._sittings()
        place, head, found = "", "", list[RibbonStation]()
        last = 0
        for station in self.plan.stations:
            number = max(sittings.get(step.operation.name, 0) for step in station.steps)
            begins = number != last and number > 0
            if found and (station.position != place or begins):
                yield self._run(place, head, found)
                found, head = [], ""
            head = f"Sitting {number}" if begins else head
            place, last = station.position, number or last
            found.append(self._station(station))
        if found:
            yield self._run(place, head, found)

    def _run(self, place: str, head: str, found: list[RibbonStation]) -> RibbonRun:
        return RibbonRun(clean(self.plan.machine.positions[place].label), head, tuple(found))

    def _station(self, station: Station) -> RibbonStation:
        names = [step.operation.name for step in station.steps]
        left = [name for name in names if name not in self.settled]
        gated = [step.number for step in station.steps if step.number in self.gates]
        open_ = [
            step.number for step in station.steps if step.number in gated and step.operation.name in left
        ]
        people = dict.fromkeys(who for name in names if (who := self.people.get(name)))
        sealed = (step.operation.subject for step in station.steps if step.operation.kind in _SEALED)
        return RibbonStation(
            station_code(self.plan, station),
            (left or names)[0],
            clean(tool_words(self.plan.machine, station.tool)),
            worked_on(self.plan.machine, (step.operation for step in station.steps)),
            station_time(self.plan, station),
            self._stage(names, left),
            tuple(open_),
            len(gated) - len(open_),
            listing(self.curing[one] for one in sealed if one in self.curing),
            clean(listing(people)),
        )

    def _stage(self, names: list[str], left: list[str]) -> Stage:
        if not left:
            return Stage.AWAY
        if self.next in left:
            return Stage.NEXT
        return Stage.IN_HAND if len(left) < len(names) else Stage.AHEAD

    def _sittings(self) -> Mapping[str, int]:
        """The number of the sitting of each step, as far as it was or is planned to be cut; empty for one."""
        past = [stop.event.time for stop in sittings_past(self.moment)]
        found = {str(op): 1 + sum(time < tick.time for time in past) for op, tick in self.ticks.items()}
        lengths = self.moment.card.sittings
        if self.going and lengths and self.moment.plan.steps:
            wish = SittingsWish.of([Fraction(60 * minutes) for minutes in lengths], self.moment.card.wished)
            for sitting in as_ordered(self.moment.plan, wish):
                found |= {step.operation.name: len(past) + sitting.number for step in sitting.steps}
        return found if len(set(found.values())) > 1 else {}
