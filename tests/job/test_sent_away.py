"""Jobs by chance, read by fresh eyes after every act: nobody is sent away from what could be kept."""

import random
from datetime import UTC, date, datetime, timedelta

from sequencer.errors import SequencerError
from sequencer.job.changes.begin import begin, copied
from sequencer.job.changes.finds import Find
from sequencer.job.desk import By, Desk
from sequencer.job.work.curing import CuringError
from sequencer.plan.onward.present import Direction
from sequencer.plan.practice.rules import Practice
from tests.job.everything import asked
from tests.plan.jobs import by_hand_where_nothing_is_said, teardown
from tests.plan.practice.chance import changed, with_chance
from tests.support.plain_machine import load_machine
from tests.support.profile import at_night
from tests.support.random_machines import random_machine
from tests.support.underway import BackUnderway, InUnderway

MOST = 11
"""Operations of a job that the reference puts in every order."""

DAY = date(2026, 11, 25)


class Shop:
    """Two people at one job, who do what comes into their heads."""

    def __init__(self, folder, seed, text, plan):
        self.rng = random.Random(f"shop {seed}")
        file = folder / "machine.yaml"
        file.write_text(text, encoding="utf-8")
        self.now = datetime(2026, 11, 25, 8, tzinfo=UTC)
        self.desk = Desk(begin(folder / "job", plan, copied(file), self.by(), title="Job"), self.by())
        self.acts, self.finds = ["begin"], 0

    def by(self):
        self.now += timedelta(minutes=1)
        return By(*self.rng.choice((("Ann", "a"), ("Bo", "b"))), time=self.now)

    def left(self):
        return [op for _, op in self.desk.state().left]

    def act(self):
        """One act; what is refused changes nothing. Each is said as a test could be written of it."""
        moment, left = self.desk.moment(), self.left()
        able = [op for op in left if not moment.why_not(op, moment.present)]
        word = self.rng.choices(
            ("done", "early", "found", "undo", "skip", "turn", "stop"), (10, 4, 2, 2, 1, 0.5, 1)
        )[0]
        if not left:
            word = "turn"
        by = self.by()
        try:
            if word in ("done", "early"):
                op = left[0] if word == "done" or not able else self.rng.choice(able)
                self.acts.append(f"done {op}")
                self.desk.done([op], **asked(moment, op), prepared=True, by=by)
            elif word == "found" and self.finds < 1:
                self.finds += 1
                where = self.rng.choice(list(moment.machine.parts))
                self.acts.append(f"found in the way of {where}")
                self.desk.found(Find("a stay", {"blocks": (where,)}, held=("bolt 10 x2",)), DAY, by=by)
            elif word == "undo":
                self.acts.append("undo")
                self.desk.undo(by=by)
            elif word == "skip" and able:
                self.acts.append(f"skip {able[0]}")
                self.desk.skip([able[0]], "off already", by=by)
            elif word == "turn" and not moment.state.turned:
                self.acts.append("turn")
                self.desk.turn(by=by)
            elif word == "stop":
                self.acts.append("stop")
                self.desk.stop("home", by=by)
                self.now += timedelta(hours=14)
        except CuringError:
            self.now += timedelta(hours=2000)
        except SequencerError as why:
            self.acts.append(f"  refused: {why}"[:90])

    def ended(self):
        return self.desk.state().turned and not self.left()

    def read(self):
        """What is left, read anew; None where that takes too long to try."""
        moment = self.desk.moment()
        present, left = moment.present, [step.operation.name for step in moment.plan.steps]
        if not moment.as_practised or len(left) > MOST:
            return None
        machine = load_machine(changed(self.desk.folder.machine.read_text(encoding="utf-8"), _timed))
        named = {(one.name.value, one.subject) for one in moment.plan.practice.dropped}
        skipped = list(present.skipped)
        if skipped and present.direction is Direction.TOGETHER:
            return None  # what was not there is not put back either, which the plain reading has no word for
        if present.direction is Direction.APART:
            return InUnderway(machine, [*present.done, *skipped], left).broken(left, named)
        gone = [*present.back, *skipped]
        return BackUnderway(machine, present.done, gone, left).broken(left, named)


def _timed(machine):
    """What was found says no time, and the plain reading has none of its own; no rule asks for it."""
    for part in machine["parts"].values():
        for joint in part.get("joints", {}).values():
            if "each" not in joint:
                joint.setdefault("time", "30 s")


def jobs(seeds):
    for seed in seeds:
        text, targets = random_machine(seed, 3, torques=True)
        text = with_chance(by_hand_where_nothing_is_said(text), seed)
        try:
            plan = teardown(text, targets, practice=Practice.ALL)
        except SequencerError:
            continue
        if 3 < len(plan.steps) <= MOST + 3:
            yield seed, text, plan


@at_night
def test_nobody_is_sent_away_from_what_could_be_kept(tmp_path):
    read = 0
    for seed, text, plan in jobs(range(300)):
        (folder := tmp_path / str(seed)).mkdir()
        shop = Shop(folder, seed, text, plan)
        for _ in range(40):
            said = shop.read()
            read += said is not None
            assert not said, (seed, said, shop.acts, shop.left())
            if shop.ended():
                break
            shop.act()
        shop.desk.close()
    assert read
