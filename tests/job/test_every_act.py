"""Every act that a person has, in any order, both ways: after each the job is whole and goes on.

A failure prints the script of its acts; ``SEQUENCER_TESTS=nightly`` runs ten thousand, and makes a failing
script as short as it can be.
"""

from datetime import timedelta

from hypothesis import HealthCheck, Phase, note, settings
from hypothesis import strategies as st
from hypothesis.stateful import invariant, precondition, rule

from sequencer.errors import SequencerError
from sequencer.job.changes.finds import Find
from sequencer.job.evenings.stopping import MadeSafe
from sequencer.job.journal.events import EventKind
from sequencer.machine.edit import Editor
from sequencer.plan.closing.readings import fasteners_of, stages_of
from sequencer.plan.hazards.trouble import states
from tests.job.at_a_job import DAY, Job
from tests.job.everything import asked, bare, check_all, gate_at, joint_of, words_for
from tests.support.door import picture
from tests.support.profile import counts

EXAMPLES, ACTS = counts(quick=(1, 12), landing=(3, 20), nightly=(400, 25))
PHASES = counts(quick=(Phase.generate,), nightly=tuple(Phase))
"""Making a failing script short takes minutes: at once it is as good."""

RIGHT = {
    "head": ("10", "13", "E12"),
    "thread": ("M8", "M10x1.25"),
    "count": ("1", "2", "3"),
    "torque": ("22 N.m", "30 N.m"),
    "label": ("Cap",),
    "class": ("10.9",),
    "pattern": ("spiral", "cross"),
}
WRONG = {
    "head": ("soft", ""),
    "thread": ("M0", "9 N.m"),
    "count": ("0", "many"),
    "torque": ("9", "900 N.m"),
    "class": ("x",),
    "depth": ("3",),
}
OF_WORDS = (
    EventKind.NOTE,
    EventKind.LOOKED,
    EventKind.PHOTO,
    EventKind.CORRECTED,
    EventKind.FOUND,
    EventKind.MEASURED,
)
WRENCHES = ("small clicker", "long clicker", "Bo's")


class EveryAct(Job):
    """A person who does whatever can be done at a job."""

    # ---- Ticks ----

    @rule()
    def next_station(self) -> None:
        ops, words = bare(self.desk.moment())
        last = next(reversed(tuple(self.desk.state().ticks.values())), None)
        whole = not words and len(ops) > 1 and (last is None or last.device == "a")
        if ops:
            self.say("done", None if whole else list(ops), **words)

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
            self.say("done", [op], **asked(self.desk.moment(), op))

    @rule(late=st.booleans())
    def a_range(self, late: bool) -> None:
        numbers = [number for number, _ in self.desk.state().steps]
        if numbers:
            first = self.any_of(numbers)
            last = first + self.rng.randint(0, 6)
            self.say("done", f"{max(first - 3 * late, 1)}-{last}", anyway="late" if late else None)

    @rule()
    def against_the_file(self) -> None:
        op = self.any_of(self.left())
        if op:
            self.say("done", [op], anyway="it was")

    @rule(near=st.booleans())
    def skip(self, near: bool) -> None:
        ops = self.left()[:3] if near else self.left()
        op = self.any_of(ops)
        if op:
            self.say("skip", [op], "off already")

    @rule(what=st.sampled_from(("bare", "number", "event", "words")))
    def undo(self, what: str) -> None:
        state = self.desk.state()
        done = {**state.ticks, **state.skipped}
        if what == "bare":
            self.say("undo", None)
        elif what == "number":
            op = self.any_of(list(done)[-6:])
            number = op and state.number(op)
            if number:
                self.say("undo", number)
        else:
            kinds = OF_WORDS if what == "words" else tuple(state.kept)
            event = self.any_of(one.event.id for kind in kinds for one in state.of(kind))
            if event:
                self.say("undo", self.any_of((event, event[:8])))

    # ---- Gates ----

    @rule()
    def to_the_next_gate(self) -> None:
        for op in self.left():
            if gate_at(op):
                break
            self.say("done", [op])

    @rule(
        stages=st.sampled_from(("next", "one", "all")),
        fasteners=st.sampled_from(("unsaid", "one", "some", "all")),
        wrench=st.sampled_from((None, *WRENCHES)),
    )
    def a_reading(self, stages: str, fasteners: str, wrench: str | None) -> None:
        """What was read at a gate that is open, or at one that was closed: for all of it, or for some."""
        state = self.desk.state()
        gates = [op for op in (*self.left(), *list(state.ticks)[-4:]) if gate_at(op)][:4]
        gate = self.any_of(gates)
        joint = gate and joint_of(self.desk.machine, gate)
        if not joint or not stages_of(joint):
            return
        numbers = list(range(1, len(stages_of(joint)) + 1))
        which = numbers if stages == "all" else [self.any_of(numbers)]
        said = {"next": None, "one": str(which[0]), "all": "all"}[stages]
        names = fasteners_of(joint)
        some = self.rng.sample(names, self.rng.randint(1, len(names)))
        of = {"unsaid": None, "one": some[0], "some": ",".join(some), "all": "all"}[fasteners]
        words = words_for(joint, which)
        self.say("done", [gate], **words, stages=said, fasteners=of, wrench=wrench)

    @rule()
    def a_bad_reading(self) -> None:
        gates = [op for op in self.left() if gate_at(op)]
        op = self.any_of(gates)
        if op:
            of = self.any_of((None, "all", "99"))
            self.say("done", [op], torque=self.any_of(("1 N.m", "900 N.m", "9", "")), fasteners=of)

    # ---- The plan ----

    @rule(state=st.sampled_from(("off", "aside", "loose")))
    def found(self, state: str) -> None:
        machine = self.desk.machine
        where = self.any_of([*machine.parts, *self.joints()])
        key = "traps" if "/" not in where and self.rng.random() < 0.3 else "blocks"
        held = self.any_of(((), ("bolt 10 x2",), ("nut 13 M8 22 N.m",)))
        behind = {"behind": (self.any_of(machine.parts),)} if self.rng.random() < 0.2 else {}
        find = Find("a stay", {key: (where,), **behind}, held=held, state=state)
        self.say("found", find, DAY)

    @rule()
    def trouble(self) -> None:
        joint = self.any_of(self.joints())
        if joint:
            self.say("trouble", joint, self.any_of(states()), DAY)

    @rule()
    def also(self) -> None:
        self.say("also", [self.any_of(self.desk.machine.parts)])

    @rule(apart=st.booleans())
    def turn(self, apart: bool) -> None:
        self.say("turn", apart=apart)

    @rule(right=st.booleans())
    def correct(self, right: bool) -> None:
        where = self.any_of([*self.desk.machine.parts, *self.joints(), *self.joints()])
        keys = ["label"] if right and "/" not in where else list(RIGHT if right else WRONG)
        given = self.rng.sample(keys, min(len(keys), self.rng.randint(1, 2)))
        self.say("correct", where, {key: self.any_of((RIGHT if right else WRONG)[key]) for key in given})

    def joints(self) -> list[str]:
        return [j.path for part in self.desk.machine.parts.values() for j in part.joints.values()]

    # ---- Words, and time ----

    @rule(by=st.sampled_from(("eye", "hand")), showed=st.sampled_from((None, "a clip")))
    def looked(self, by: str, showed: str | None) -> None:
        self.say("looked", self.any_of(self.desk.machine.parts), by, showed)

    @rule(word=st.sampled_from(("stop", "resume", "note", "photo", "measured")))
    def small_things(self, word: str) -> None:
        op = self.any_of((*self.left(), None))
        about = [op] if op else None
        if word == "note":
            self.say("note", "look again", about)
        elif word == "photo":
            self.say("photo", about, picture())
        elif word == "measured":
            if op:
                self.say("measured", about, {"wear": "0.2 mm"})
        else:
            self.say(word)

    @rule(way=st.sampled_from(MadeSafe))
    def made_safe(self, way: MadeSafe) -> None:
        self.say("stop", "home", way)

    @rule(time=st.sampled_from(("45 min", "3 h")))
    def evening(self, time: str) -> None:
        self.say("evening", time)

    @rule()
    def time_goes_by(self) -> None:
        self.now += timedelta(hours=3)

    # ---- The file ----

    @rule(
        what=st.sampled_from(
            ("behind", "no longer behind", "longer", "torque", "kind", "joint gone", "part gone")
        ),
        careless=st.booleans(),
    )
    def by_hand(self, what: str, careless: bool) -> None:
        """Somebody edits the job's copy of the file, and may save what can't be read."""
        path, machine = self.desk.folder.machine, self.desk.machine
        part = machine.parts[self.any_of(machine.parts)]
        joint = self.any_of(part.joints)
        own = ("parts", part.name)
        try:
            editor = Editor(path)
            if what == "behind":
                editor.add_need(part.name, "behind", self.any_of(machine.parts))
            elif what == "no longer behind":
                editor.remove((*own, "behind"))
            elif what == "part gone":
                editor.remove(own)
            elif what == "joint gone" and joint:
                editor.remove((*own, "joints", joint))
            elif what == "kind" and joint:
                editor.set_value((*own, "joints", joint, "kind"), self.any_of(("bolt", "clip", "connector")))
            elif what == "torque" and joint:
                editor.set_value((*own, "joints", joint, "torque"), self.any_of(("30 N.m", "9 mm")))
            else:
                editor.set_value((*own, "time"), f"{self.rng.randint(1, 90)} s")
        except (SequencerError, KeyError):
            return
        if careless or editor.read().machine is not None:
            note(f"by hand: {what}, {part.name}/{joint}")
            path.write_text(editor.text, encoding="utf-8")

    @rule(how=st.sampled_from(("gone", "no YAML", "no UTF-8")))
    def lost(self, how: str) -> None:
        path = self.desk.folder.machine
        note(f"the file is lost: {how}")
        if how == "gone":
            path.unlink(missing_ok=True)
        else:
            path.write_bytes(b"parts: [" if how == "no YAML" else b"machine: \xff\n")

    @rule()
    def restore(self) -> None:
        note("desk.restore()")
        self.desk.restore()
        assert not self.desk.moment().sight.word

    # ---- What is so after each ----

    @precondition(lambda self: hasattr(self, "phone"))
    @invariant()
    def everything_holds(self) -> None:
        check_all(self)


TestEveryAct = EveryAct.TestCase
TestEveryAct.settings = settings(
    max_examples=EXAMPLES,
    stateful_step_count=ACTS,
    phases=PHASES,
    suppress_health_check=list(HealthCheck),
)
