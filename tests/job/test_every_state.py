"""Every view on every state: each target of each shipped machine, both ways, a step at a time.

A run looks at some of the states, by night at all of them; the sheet is printed at a sample of those.
"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from sequencer.document.plans.both_ways import PaperJob, bag_words
from sequencer.engine import Limits
from sequencer.graph.targets import parse_targets
from sequencer.job.journal.card import Card
from sequencer.job.journal.events import Event, EventKind, Recorded
from sequencer.job.journal.replay import Replay
from sequencer.job.now.moment import Moment, Sight
from sequencer.job.now.ways import both_ways, ticked
from sequencer.machine.reading import load
from sequencer.plan.onward.present import Direction
from sequencer.plan.onward.turned import plan_back
from sequencer.plan.teardown import plan_teardown
from sequencer.render.sheet.sheet import sheet_pdf
from tests.job.conftest import PUMP, ROOT
from tests.job.everything import check_moment
from tests.support.profile import PROFILE, before_landing, counts

VAN = ROOT / "models" / "delivery-van.yaml"
START = datetime(2026, 11, 25, 8, tzinfo=UTC)
EVERY = counts(quick=15, landing=12, nightly=1)
SHEETS = counts(quick=3, nightly=25)
FEW = Limits(states=2000, seconds=5)
JOBS = [(PUMP, "seal"), *counts(quick=(), landing=((PUMP, "motor"),), nightly=())]
if PROFILE == "nightly":
    JOBS = [(file, name) for file in (PUMP, VAN) for name in load(file).parts]


class Story:
    """A job as its journal would tell it, without one: a minute for each step."""

    def __init__(self, file, off):
        self.sight = Sight(load(file), "")
        self.card = Card(title=off, id="x", machine=file.name, off=(off,))
        self.replay = Replay()

    def tell(self, kind, **body):
        number = self.replay.seq + 1
        event = Event(kind, body, "Ann", "laptop", START + timedelta(minutes=number), str(number))
        self.replay.take([Recorded(number, event, event.time)])

    @property
    def moment(self):
        return Moment(self.card, self.sight, self.replay.state())

    def states(self):
        """The moment after each step of both ways."""
        machine = self.sight.machine
        into = plan_teardown(machine, parse_targets(machine, self.card.off, []))
        self.tell(EventKind.CHANGED, steps=[[step.number, step.operation.name] for step in into.steps])
        yield from self.ticked(into)
        present = replace(self.moment.present, direction=Direction.TOGETHER)
        back = plan_back(machine, self.moment.targets, present).refit
        numbered = [[step.number + len(into.steps), step.operation.name] for step in back.steps]
        self.tell(EventKind.TURNED, direction="reassembly", steps=numbered)
        yield from self.ticked(back)

    def ticked(self, plan):
        yield self.moment
        for step in plan.steps:
            self.tell(EventKind.DONE, ops=[step.operation.name])
            yield self.moment


def sheet_of(moment):
    """The sheet of a job under way, as ``sequencer sheet`` prints it in its folder."""
    ways = both_ways(moment, FEW, FEW)
    bags = bag_words(moment.bags)
    return sheet_pdf(PaperJob(ways.into, ways.back, START.date(), bags=bags, ticked=ticked(moment)))


@before_landing
@pytest.mark.parametrize(("file", "off"), JOBS, ids=[f"{file.stem} {off}" for file, off in JOBS])
def test_every_state_of_both_ways_can_be_told(file, off):
    seen = 0
    for number, moment in enumerate(Story(file, off).states()):
        if number % EVERY == 0:
            assert moment.workable
            check_moment(moment)
            if seen % SHEETS == 1:
                assert sheet_of(moment).startswith(b"%PDF")
            seen += 1
    assert seen > 1
