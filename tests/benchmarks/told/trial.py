"""One machine, told by a person who takes it apart: what comes of it, held against its true file."""

import random
import tempfile
import time
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from statistics import median

from sequencer.engine.problem import Limits
from sequencer.errors import SequencerError
from sequencer.graph import derive
from sequencer.graph.reverse import way_back
from sequencer.graph.targets import Target
from sequencer.job.changes.bare import bare_file
from sequencer.job.changes.begin import begin
from sequencer.job.desk import By, Desk
from sequencer.job.work.figure_words import split_words
from sequencer.job.work.figures import figure
from sequencer.machine import read_text
from sequencer.machine.called import part_label
from sequencer.plan import plan_teardown
from sequencer.plan.order.insertion import near_former_order
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.practice.rules import Practice
from sequencer.plan.refit import plan_refit
from tests.benchmarks.told.person import Person

LIMITS = Limits(states=5_000, seconds=2)
MOST_ANSWERS = 15
DAY = date(2026, 11, 29)


@dataclass
class Result:
    """What one machine came to; shares are over the best that is known of the true file."""

    name: str
    parts: int
    acts: int
    words: float
    answers: int
    back: float = 0.0
    into: float = 0.0
    faults: list[str] = field(default_factory=list)
    known: str = ""
    proven: bool = True
    seconds: float = 0.0

    @property
    def line(self) -> str:
        said = "; ".join(self.faults) or "as it should be"
        return (
            f"{self.name:28} {self.parts:3} parts {self.words:5.1f} words a part {self.answers:3} answers  "
            f"back {self.back:+6.1%}  next {self.into:+6.1%}{'' if self.proven else ' (not proven)'}  {said}"
        )


def trial(text, off, name, seed, *, answers=0, limits=LIMITS):
    """Tell the machine ``text``, taken apart for ``off``; answer up to so many questions."""
    begun = time.process_time()
    true = read_text(text).machine
    targets = tuple(Target(part) for part in off)
    person = Person(true, targets, random.Random(seed))
    acts = person.strip()
    with tempfile.TemporaryDirectory() as folder:
        wishes = [part_label(true.parts[part]) for part in off]
        desk = _job(Path(folder) / "job", name, wishes)
        try:
            meant = _Meant()
            for act in acts:
                meant.tell(desk, act)
            _figures(desk, person)
            told = _Told(true, desk.machine, acts, meant)
            count = told.ask(desk, person, random.Random(seed), answers) if answers else 0
            result = told.result(desk, person, targets, name, limits)
        finally:
            desk.close()
    result.answers = count
    result.seconds = time.process_time() - begun
    return result


def _job(folder, title, wishes):
    file, named = bare_file(title, wishes)
    machine = read_text(file.content.decode(), file.name).machine
    plan = plan_teardown(machine, tuple(Target(name) for name in named), practice=Practice.ALL)
    return Desk(begin(folder, plan, file, By("Ann", "a"), title=title), By("Ann", "a"))


def _figures(desk, person):
    """The torques that the person knows, each told for its joint; one that is not found stays open."""
    for _, words, torque in person.figures():
        said = ", ".join(stage.text for stage in torque.stages)
        for one in words:  # as on a label first, by head and count where it is asked which
            names, told = split_words([one, said, "true file"])
            with suppress(SequencerError):
                desk.write(figure(names, replace(told, when=person.due(torque)), desk.file))
                break


class _Meant:
    """Which act of the person each thing of the file came from: they know what they meant by it."""

    def __init__(self):
        self.parts, self.besides, self.unsaid = {}, {}, []

    def tell(self, desk, act):
        """Say an act's line, and keep what came of it."""
        said = desk.did(act.line)
        kind = act.ops[-1].partition(" ")[0]
        if not said.ops:
            self.unsaid.append(act)
        if kind in ("task", "drain"):
            found = [op for op in said.ops if not op.startswith("slacken ")]
            self.besides |= dict.fromkeys(found, act.ops[-1])
        else:
            self.parts |= {op.partition(" ")[2].partition("/")[0]: act.part for op in said.ops}

    def op(self, name):
        """The task or drain of the true machine that an operation, also one of the way back, is."""
        kind, _, subject = name.partition(" ")
        into = {
            "restore": "task",
            "fill": "drain",
            "fit": "remove",
            "move-back": "move-aside",
            "seat": "loosen",
        }
        meant = self.besides.get(f"{into.get(kind, kind)} {subject}")
        back = {"restore": {"task": "restore"}, "fill": {"drain": "fill"}}
        if meant is None or kind in ("task", "drain", "remove", "move-aside", "loosen"):
            return meant
        word, _, thing = meant.partition(" ")
        return f"{back.get(kind, {'task': 'restore', 'drain': 'fill'})[word]} {thing}"


class _Told:
    """What a file has of a machine, and what that is on the machine itself."""

    def __init__(self, true, learned, acts, meant):
        self.true, self.acts, self.meant = true, acts, meant
        by_label = {part_label(part).lower(): name for name, part in true.parts.items()}
        named = {name: by_label.get(part_label(part).lower()) for name, part in learned.parts.items()}
        self.parts = {name: part for name in named if (part := meant.parts.get(name) or named[name])}
        tasks = {op.partition(" ")[2] for op in meant.besides}
        self.strange = [name for name in learned.parts if name not in self.parts and name not in tasks]
        self.joints = {}
        for name, own in self.parts.items():
            left = self._told(own)
            for joint in learned.parts[name].joints.values():
                like = [one for one in left if _alike(one, joint)]
                if like:
                    self.joints[joint.path] = like[0].path
                    left.remove(like[0])

    def _told(self, part):
        names = [op.partition(" ")[2] for act in self.acts for op in act.ops if op.startswith(_UNDONE)]
        paths = dict.fromkeys(one for one in names if one.partition("/")[0] == part)
        return [self.true.joint(*path.split("/")) for path in paths]

    def op(self, name):
        """An operation of the learned file on the true machine; None where that has none."""
        kind, _, subject = name.partition(" ")
        if besides := self.meant.op(name):
            return besides
        if "/" in subject:
            path = self.joints.get(subject)
            return f"{kind} {path}" if path else None
        return f"{kind} {self.parts[subject]}" if subject in self.parts else None

    # ---- Questions ----

    def ask(self, desk, person, rng, most):
        """Answer the questions that are asked, truthfully, and with don't know to a quarter."""
        from sequencer.job.changes.asking import open_questions, reply

        count = 0
        while count < most and (found := open_questions(desk.moment())):
            text = "don't know" if rng.random() < 0.25 else self._answer(desk, person, found[0])
            desk.write(reply([(1, text)], desk.file, DAY))
            count += 1
        return count

    def _answer(self, desk, person, question):
        first = {told: self._acts_of(told) for told in question.first}
        then = {told: self._acts_of(told) for told in question.then}
        order = {told: place for place, told in enumerate(desk.machine.taken_apart.order)}
        pairs = [
            (a, b)
            for mine, others in ((first, then), (then, first))
            for a in mine
            for b in others
            if order[a] < order[b] and person.waited(mine[a], others[b], self.meant.unsaid)
        ]
        if question.about.value == "pair":
            return "no" if pairs else "yes"
        if not pairs:
            return "no"
        named = dict.fromkeys(b if question.about.value == "reason" else a for a, b in pairs)
        return ", ".join(str(told.atom) for told in named)

    def _acts_of(self, told):
        """What was done of a thing of the order, as acts."""
        part = self.parts.get(told.atom.part, told.atom.part)
        if told.atom.joint:
            path = self.joints.get(f"{told.atom.part}/{told.atom.joint}")
            return [act for act in self.acts if any(op.partition(" ")[2] == path for op in act.ops)]
        drained = self.meant.besides.get(f"drain {told.atom.part}") if told.section == "fluids" else None
        return [act for act in self.acts if act.part == part or act.ops[-1] == drained]

    # ---- What it is worth ----

    def result(self, desk, person, targets, name, limits):
        acts = self.acts
        done = [op for act in acts for op in act.ops]
        words = sum(act.words for act in acts) / len({act.part for act in acts})
        found = Result(name, len(self.true.parts), len(acts), words, 0)
        found.faults += [f"not on the machine: {one}" for one in self.strange]
        learned, wish = desk.machine, desk.moment().targets
        desk.turn()
        self._back(found, desk, done, limits)
        self._next(found, learned, wish, person, targets, limits)
        return found

    def _back(self, found, desk, done, limits):
        """The way back as the program plans it, on the true machine."""
        whole = derive(self.true)
        back = way_back(whole, done)
        told = [self.op(op) for _, op in desk.moment().state.left]
        order = list(dict.fromkeys(op for op in told if op in back.graph.operations))
        wanted = {name for goal in back.goals for name in goal.any_of if len(goal.any_of) == 1}
        hand = ("fit", "fasten", "move-back", "tighten", "torque")
        lost = [
            op for op in back.graph.operations if op in wanted and op not in order and op.startswith(hand)
        ]
        found.faults += [f"never done: {op}" for op in lost]
        changes = Changes.of(self.true, back.drives)
        took = self._held(found, back.graph, order, set(order) | wanted, changes, backwards=True)
        best = _best_back(self.true, whole, done, back, changes, limits)
        found.back = float(took / best) - 1 if took else 1.0

    def _next(self, found, learned, wish, person, targets, limits):
        """The next time by the learned file, on the true machine."""
        again = plan_teardown(learned, wish, limits=limits, practice=Practice.ALL)
        whole = derive(self.true)
        told = [self.op(op.name) for op in again.operations]
        order = list(dict.fromkeys(op for op in told if op in whole.operations))
        changes = Changes.of(self.true)
        chosen = set(order) | set(person.chosen())
        took = self._held(found, whole, order, chosen, changes)
        best = plan_teardown(self.true, targets, limits=limits, practice=Practice.ALL)
        found.proven = best.proven
        found.into = float(took / best.totals.seconds) - 1 if took else 1.0

    def _held(self, found, graph, order, chosen, changes, *, backwards=False):
        """How long an order takes, with what it lacks at the cheapest places; a fault where it can't be."""
        former = list(reversed(order)) if backwards else order
        kept = near_former_order(graph, chosen, former, changes)
        way = "back" if backwards else "next"
        if kept is None:
            found.faults.append(f"{way}: can't be done")
            return None
        if [op for op in kept if op in set(order)] != former:
            moved = next(
                a for a, b in zip((op for op in kept if op in set(order)), former, strict=False) if a != b
            )
            found.faults.append(f"{way}: not in this order: {moved}")
        names = list(reversed(kept)) if backwards else list(kept)
        return sum(step.seconds + step.change_seconds for step in replay(graph, names, changes))


_UNDONE = ("undo ", "slacken ", "crack ")


def _alike(true, learned):
    same = learned.kind == true.kind or {learned.kind, true.kind} <= {"clamp", "hose clamp", "fastener"}
    return same and learned.count == true.count and (learned.head == true.head or learned.head is None)


def _best_back(true, whole, done, back, changes, limits):
    """The least that the way back takes by the true file, with good practice."""
    from sequencer.plan.order.prefer import Prefer
    from sequencer.plan.order.replay import teardown_of

    teardown = teardown_of(whole.restricted(done), (), done, Changes.of(true), Prefer.TIME)
    refit = plan_refit(teardown, limits=limits, practice=Practice.ALL)
    return refit.totals.seconds


def summary(results):
    """The medians, and what fell short."""
    faults = [one for one in results if one.faults]
    return (
        f"{len(results)} machines: {median(one.words for one in results):.1f} words a part, "
        f"the way back {median(one.back for one in results):+.1%}, the next way in "
        f"{median(one.into for one in results):+.1%} in the median; {len(faults)} with faults"
    )
