"""Every act that a person has, in any order, both ways: after each the job is whole and goes on.

A failure prints the shortest script that shows it. ``SEQUENCER_TESTS=nightly`` runs ten thousand acts.
"""

import random
import shutil
import tempfile
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from sequencer.errors import SequencerError
from sequencer.job.begin import begin
from sequencer.job.desk import By, Desk
from sequencer.job.events import EventKind
from sequencer.job.finding import Find
from sequencer.job.trouble import states
from sequencer.machine import read_text
from sequencer.machine.edit import Editor
from sequencer.plan.teardown import plan_teardown
from tests.job.conftest import PUMP, ROOT
from tests.job.everything import asked, bare, check_all, check_told, finish
from tests.plan.jobs import own_targets
from tests.support.profile import PROFILE, counts
from tests.support.random_machines import random_machine

EXAMPLES, ACTS = counts(quick=(6, 20), nightly=(400, 25))
VAN = ROOT / "models" / "delivery-van.yaml"
DAY = date(2026, 11, 25)
SEAL = "sealant: {kind: rtv, assemble_within: 20 h, cure: 2 h}"


@cache
def jobs() -> dict[str, tuple[str, list[tuple[str, str]]]]:
    """Machine files with what is to come off: the pump, the van, and random machines that come apart."""
    pump = PUMP.read_text(encoding="utf-8")
    sealed = pump.replace("    label: Pump cover\n", f"    label: Pump cover\n    {SEAL}\n")
    found = {
        "pump impeller": (pump, [("off", "impeller")]),
        "pump seal, its cover sealed": (sealed, [("off", "seal")]),
        "pump motor": (pump, [("off", "motor"), ("off", "bracket")]),
    }
    if PROFILE == "nightly":
        found["van cam-cover"] = (VAN.read_text(encoding="utf-8"), [("off", "cam-cover")])
    for number in range(counts(quick=12, nightly=60)):
        text, targets = random_machine(number, 2 + number % 5, torques=True)
        text = text.replace("parts:\n  cover:\n", f"parts:\n  cover:\n    {SEAL}\n", 1)
        if comes_apart(text, targets):
            found[f"random {number}"] = (text, targets)
    return found


def comes_apart(text: str, targets: list[tuple[str, str]]) -> bool:
    machine = read_text(text, "machine.yaml").machine
    try:
        return machine is not None and bool(plan_teardown(machine, own_targets(machine, targets)).steps)
    except SequencerError:
        return False


class EveryAct(RuleBasedStateMachine):
    """A job, and a person who does whatever can be done at a desk."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="every-act-"))
        self.now = datetime(2026, 11, 25, 8, tzinfo=UTC)
        self.acts = 0

    @initialize(name=st.sampled_from(sorted(jobs())), seed=st.integers(0, 10**6))
    def begin(self, name: str, seed: int) -> None:
        text, targets = jobs()[name]
        file = self.folder / "machine.yaml"
        file.write_text(text, encoding="utf-8")
        machine = read_text(text, str(file)).machine
        assert machine is not None
        plan = plan_teardown(machine, own_targets(machine, targets))
        off, reach = ([what for verb, what in targets if verb == word] for word in ("off", "reach"))
        folder = begin(self.folder / "job", plan, file, By("Ann", "a"), title="Job", off=off, reach=reach)
        self.desk = Desk(folder, By("Ann", "a"))
        self.rng = random.Random(seed)

    def teardown(self) -> None:
        try:
            if hasattr(self, "desk"):
                finish(self)
                self.desk.close()
        finally:
            shutil.rmtree(self.folder)

    # ---- The acts ----

    def by(self) -> By:
        self.now += timedelta(seconds=self.rng.choice((20, 60, 300)))
        return By("Ann", "a", time=self.now)

    def say(self, act, *args, **words):
        """Do it; a refusal has to say something, and change nothing; a refused reading is kept."""
        before = self.desk.state()
        self.acts += 1
        try:
            said = act(*args, by=self.by(), **words)
        except SequencerError as refused:
            assert refused.problem  # noqa: PT017 - any of them will do
            after = self.desk.state()
            assert (after.ticks, after.skipped, after.steps) == (before.ticks, before.skipped, before.steps)
            assert {one.event.kind for one in after.history[before.seq :]} <= {EventKind.MEASURED}
        else:
            check_told(before, self.desk.state(), said)

    def any_of(self, things):
        things = list(things)
        return self.rng.choice(things) if things else None

    def left(self) -> list[str]:
        return [op for _, op in self.desk.state().left]

    @rule()
    def next_station(self) -> None:
        ops, words = bare(self.desk.moment())
        if ops:
            self.say(self.desk.done, None if not words and len(ops) > 1 else list(ops), **words)

    @rule(count=st.integers(1, 12))
    def several_stations(self, count: int) -> None:
        for _ in range(count):
            self.next_station()

    @rule()
    def all_but_the_end_of_the_way(self) -> None:
        for _ in range(max(len(self.left()) - self.rng.randint(0, 4), 0)):
            self.next_station()

    @rule(late=st.booleans())
    def out_of_order(self, late: bool) -> None:
        ops = self.left()
        if late:
            ops = [op for op in ops if not self.desk.moment().why_not(op, self.desk.moment().present)]
        op = self.any_of(ops)
        if op:
            self.say(self.desk.done, [op], **asked(self.desk.moment(), op))

    @rule(late=st.booleans())
    def a_range(self, late: bool) -> None:
        numbers = [number for number, _ in self.desk.state().steps]
        if numbers:
            first = self.any_of(numbers)
            last = first + self.rng.randint(0, 6)
            self.say(self.desk.done, f"{max(first - 3 * late, 1)}-{last}", anyway="late" if late else None)

    @rule()
    def against_the_file(self) -> None:
        op = self.any_of(self.left())
        if op:
            self.say(self.desk.done, [op], anyway="it was")

    @rule(what=st.sampled_from(("bare", "number", "event")))
    def undo(self, what: str) -> None:
        state = self.desk.state()
        done = {**state.ticks, **state.skipped}
        if what == "bare":
            self.say(self.desk.undo, None)
        elif what == "number":
            op = self.any_of(list(done)[-6:])
            number = op and state.number(op)
            if number:
                self.say(self.desk.undo, number)
        else:
            events = [one.event.id for kept in state.kept.values() for one in kept]
            self.say(self.desk.undo, self.any_of(events))

    @rule(near=st.booleans())
    def skip(self, near: bool) -> None:
        ops = self.left()[:3] if near else self.left()
        op = self.any_of(ops)
        if op:
            self.say(self.desk.skip, [op], "off already")

    @rule(state=st.sampled_from(("off", "aside", "loose")))
    def found(self, state: str) -> None:
        machine = self.desk.machine
        where = self.any_of(
            [*machine.parts, *(j.path for p in machine.parts.values() for j in p.joints.values())]
        )
        key = "traps" if "/" not in where and self.rng.random() < 0.3 else "blocks"
        held = self.any_of(((), ("bolt 10 x2",), ("nut 13 M8 22 N.m",)))
        behind = (self.any_of(machine.parts),) if self.rng.random() < 0.2 else ()
        find = Find("a stay", **{key: (where,)}, held=held, behind=behind, state=state)
        self.say(self.desk.found, find, DAY)

    @rule()
    def trouble(self) -> None:
        machine = self.desk.machine
        joint = self.any_of(j.path for p in machine.parts.values() for j in p.joints.values())
        self.say(self.desk.trouble, joint, self.any_of(states()), DAY)

    @rule()
    def also(self) -> None:
        self.say(self.desk.also, [self.any_of(self.desk.machine.parts)])

    @rule(apart=st.booleans())
    def turn(self, apart: bool) -> None:
        self.say(self.desk.turn, apart=apart)

    @rule(word=st.sampled_from(("stop", "resume", "note", "measured")))
    def small_things(self, word: str) -> None:
        op = self.any_of(self.left())
        if word == "note":
            self.say(self.desk.note, "look again", [op] if op else None)
        elif word == "measured":
            if op:
                self.say(self.desk.measured, [op], {"wear": "0.2 mm"})
        else:
            self.say(getattr(self.desk, word))

    @rule()
    def a_bad_reading(self) -> None:
        gates = [op for op in self.left() if op.startswith("torque ")]
        op = self.any_of(gates)
        if op:
            self.say(self.desk.done, [op], torque=self.any_of(("1 N.m", "900 N.m", "9", "")))

    @rule()
    def time_goes_by(self) -> None:
        self.now += timedelta(hours=3)

    @rule(what=st.sampled_from(("behind", "no longer behind", "longer", "torque")))
    def by_hand(self, what: str) -> None:
        """Somebody edits the job's copy of the file; only what can be read is saved."""
        path = self.desk.folder.machine
        editor, machine = Editor(path), self.desk.machine
        part = machine.parts[self.any_of(machine.parts)]
        joint = self.any_of(part.joints)
        try:
            if what == "behind":
                editor.add_need(part.name, "behind", self.any_of(machine.parts))
            elif what == "no longer behind":
                editor.remove(("parts", part.name, "behind"))
            elif what == "torque" and joint:
                editor.set_value(("parts", part.name, "joints", joint, "torque"), "30 N.m")
            else:
                editor.set_value(("parts", part.name, "time"), f"{self.rng.randint(1, 90)} s")
            if editor.read().machine is not None:
                editor.save()
        except (SequencerError, KeyError):
            return

    # ---- What is so after each ----

    @precondition(lambda self: hasattr(self, "desk"))
    @invariant()
    def everything_holds(self) -> None:
        check_all(self)


TestEveryAct = EveryAct.TestCase
TestEveryAct.settings = settings(
    max_examples=EXAMPLES,
    stateful_step_count=ACTS,
    suppress_health_check=list(HealthCheck),
)
