"""A job to do anything at, with a desk and a phone, and a script of all that was said there."""

import random
import shutil
import tempfile
from datetime import UTC, date, datetime, timedelta
from functools import cache, partial
from itertools import count
from pathlib import Path

from hypothesis import note
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize

from sequencer.errors import SequencerError
from sequencer.job.changes.begin import begin, copied
from sequencer.job.desk import By, Desk
from sequencer.job.journal.events import EventKind
from sequencer.machine import read_text
from sequencer.plan.practice.rules import Practice
from sequencer.plan.teardown import plan_teardown
from tests.job.conftest import PUMP, ROOT
from tests.job.everything import check_told, finish
from tests.job.phone import Phone, form_of
from tests.plan.jobs import own_targets
from tests.plan.practice.chance import add_jacks, add_supports, changed
from tests.support.profile import counts
from tests.support.random_machines import random_machine

VAN = ROOT / "models" / "delivery-van.yaml"
BOX = ROOT / "examples" / "toolbox.yaml"
DAY = date(2026, 11, 25)
SEAL = "sealant: {kind: rtv, assemble_within: 20 h, cure: 2 h}"
BY_PAGE = 0.3
"""The share of the acts that a phone says, where the page has a door for them."""
KEPT = {EventKind.MEASURED, EventKind.MACHINE}
"""What a refused act may leave in the journal: a reading that did not hold, and the file as it was seen."""


RANDOM = counts(quick=12, nightly=60)
NAMES = ("pump impeller", "pump seal, its cover sealed", "pump motor", *counts(quick=(), nightly=("van",)))


@cache
def job_called(name: str) -> tuple[str, list[tuple[str, str]]]:
    """A machine file with what is to come off: the pump, the van, or a random machine that comes apart."""
    pump = PUMP.read_text(encoding="utf-8")
    match name.split()[:2]:
        case ["van"]:
            return VAN.read_text(encoding="utf-8"), [("off", "cam-cover")]
        case ["pump", "impeller"]:
            return pump, [("off", "impeller")]
        case ["pump", "motor"]:
            return pump, [("off", "motor"), ("off", "bracket")]
        case ["pump", "seal,"]:
            sealed = pump.replace("    label: Pump cover\n", f"    label: Pump cover\n    {SEAL}\n")
            return sealed, [("off", "seal")]
    for number in count(int(name.split()[1])):
        text, targets = random_machine(number, 2 + number % 5, torques=True)
        text = text.replace("parts:\n  cover:\n", f"parts:\n  cover:\n    {SEAL}\n", 1)
        if number % 2:
            text = changed(text, partial(add_jacks, random.Random(number)))
        if number % 4 == 1:
            text = changed(text, partial(add_supports, random.Random(number)))
        if comes_apart(text, targets):
            return text, targets
    raise AssertionError


def comes_apart(text: str, targets: list[tuple[str, str]]) -> bool:
    machine = read_text(text, "machine.yaml").machine
    try:
        return machine is not None and bool(plan_teardown(machine, own_targets(machine, targets)).steps)
    except SequencerError:
        return False


class Job(RuleBasedStateMachine):
    """A job that is under way, and how something is said at it."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="every-act-"))
        self.now = datetime(2026, 11, 25, 8, tzinfo=UTC)
        self.acts = 0
        self.lying = {}
        """The bag of each joint that is undone; None for none."""

    @initialize(
        name=st.sampled_from(NAMES) | st.integers(0, RANDOM - 1).map("random {}".format),
        seed=st.integers(0, 10**6),
    )
    def begin(self, name: str, seed: int) -> None:
        text, targets = job_called(name)
        self.rng = random.Random(seed)
        file = self.folder / "machine.yaml"
        file.write_text(text, encoding="utf-8")
        machine = read_text(text, str(file)).machine
        assert machine is not None
        practice = self.any_of(tuple(Practice))
        plan = plan_teardown(machine, own_targets(machine, targets), practice=practice)
        box = self.any_of((None, BOX))
        by = By("Ann", "a")
        folder = begin(self.folder / "job", plan, copied(file), by, title="Job", toolbox=box)
        self.desk = Desk(folder, by)
        self.phone = Phone(folder.path, self.folder)
        note(f"# {name}, {'with a' if box else 'no'} toolbox, good practice: {practice.value}")

    def teardown(self) -> None:
        try:
            if hasattr(self, "phone"):
                finish(self)
                self.phone.close()
                self.desk.close()
        finally:
            shutil.rmtree(self.folder)

    def by(self) -> By:
        self.now += timedelta(seconds=self.rng.choice((20, 60, 300)))
        return By("Ann", "a", time=self.now)

    def say(self, act, *args, **words):
        """Do it; a refusal has to say something, and change nothing; a refused reading is kept."""
        before, by = self.desk.state(), self.by()
        self.acts += 1
        form = form_of(before, act, args, words) if self.rng.random() < BY_PAGE else None
        note(self.script(act, args, words, form))
        try:
            said = self.phone.say(form, by) if form else getattr(self.desk, act)(*args, by=by, **words)
        except SequencerError as refused:
            note(f"  refused: {refused}")
            assert refused.problem  # noqa: PT017 - any of them will do
            after = self.desk.state()
            assert (after.ticks, after.skipped, after.steps) == (before.ticks, before.skipped, before.steps)
            assert {one.event.kind for one in after.history[before.seq :]} <= KEPT
        else:
            check_told(before, self.desk.state(), said)
            moment = self.desk.moment()
            by_this_file = moment.state.plans[-1].event.body["file"] == moment.sight.digest
            assert moment.as_practised or not by_this_file  # after an edit the next act plans anew

    def script(self, act, args, words, form):
        """An act on one line, as a test could be written of it."""
        if form:
            path, fields = form
            return (
                f"page {path} { ({key: '…' if key == 'photo' else value for key, value in fields.items()}) }"
            )
        given = [*(repr(a)[:200] for a in args), *(f"{key}={value!r}" for key, value in words.items())]
        return f"desk.{act}({', '.join(given)})"

    def any_of(self, things):
        things = list(things)
        return self.rng.choice(things) if things else None

    def left(self) -> list[str]:
        return [op for _, op in self.desk.state().left]
