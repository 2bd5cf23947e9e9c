"""What stands on bags and labels stays: edits of the file, another table of kinds, undo, turn change none."""

import random
import re
from collections import Counter
from dataclasses import replace

import pytest

from sequencer.document.plans.paper_job import as_they_are, paper_job
from sequencer.document.underway.ahead import cards_of
from sequencer.errors import SequencerError
from sequencer.graph.operations import Kind
from sequencer.job.desk import Desk
from sequencer.job.drafted import to_keep
from sequencer.job.journal.events import EventKind
from sequencer.job.journal.replay import Replay
from sequencer.job.now import bags
from sequencer.job.now import moment as at_one_moment
from sequencer.job.now.given import BAGS, MARKS
from sequencer.job.now.ways import ways_now
from sequencer.job.reports.status import status
from sequencer.job.reports.whereabouts import where
from sequencer.machine.edit import Editor
from tests.job.at_a_job import DAY, job_called
from tests.job.conftest import ANN, begin_job
from tests.job.everything import bare
from tests.job.told.at_a_bare_job import desk_at
from tests.support.profile import counts

KINDS = ("bolt", "screw", "nut", "connector", "hose", "snap")
JOBS, ACTS = counts(quick=(1, 10), landing=(2, 16), nightly=(150, 40))


def undone(desk):
    return [op.subject for op in desk.state().done if op.kind is Kind.UNDO]


def numbers(desk):
    return {path: bag.number for path, bag in desk.moment().bags.items()}


class Shelf:
    """What a person wrote on bags and labels, and what every view says of it later."""

    def __init__(self, desk):
        self.desk, self.bags, self.marks = desk, {}, {}

    def fill(self):
        """Whoever undoes a joint writes down what was said at it, once."""
        moment = self.desk.moment()
        done = undone(self.desk)
        for written, said in ((self.bags, moment.bags), (self.marks, moment.labels)):
            for path in [path for path in written if path not in done]:
                del written[path]
            for path in done:
                one = said.get(path)
                written.setdefault(path, one and (one.number if written is self.bags else one.mark))

    def check(self):
        moment = self.desk.moment()
        for path, number in self.bags.items():
            assert numbers(self.desk).get(path) == number
            label = moment.labels.get(path)
            assert (label and label.mark) == self.marks[path]
        given = Counter(numbers(self.desk).values())
        assert all(times == 1 for times in given.values()), given
        fresh = Replay()
        fresh.take(self.desk.log())
        assert all(one.event.kind is not EventKind.UNKNOWN for one in fresh.events)
        self.check_views(moment)

    def check_views(self, moment):
        """Page, terminal, sheet and tags, and what is found, say the same number."""
        lying = {bag.joint: bag.number for bag in status(moment).bags}
        assert lying.items() <= {path: n for path, n in self.bags.items() if n}.items()
        paper = paper_job(as_they_are(ways_now(moment), None), DAY, moment=moment)
        for path, number in numbers(self.desk).items():
            assert paper.bags[f"undo {path}"] == paper.bags[f"fasten {path}"] == f"Bag {number}"
        for station in cards_of(moment):
            for step in station.steps:
                kind, path = step.operation.split(" ", 1)
                if kind in ("fasten", "undo"):
                    (line,) = [line for line in step.lines if re.search(r"\bbag \d", line)] or [""]
                    assert (int(line.split()[-1]) if line else None) == numbers(self.desk).get(path)
                if kind == "fasten":
                    together = [line.split()[3] for line in step.lines if line.startswith("the two labels")]
                    assert together == [mark for mark in (self.marks.get(path),) if mark]
        for path, number in self.bags.items():
            if moment.machine.own_joint(path):
                assert where(moment, path)[0].bag == number


def change_the_file(desk, rng):
    """Somebody calls a joint something else, or gives a part another label, in any editor."""
    editor = Editor(desk.folder.machine)
    joints = [(part.name, name) for part in desk.machine.parts.values() for name in part.joints]
    part, joint = rng.choice(joints)
    if rng.random() < 0.3:
        editor.set_value(("parts", part, "label"), f"Part {rng.randint(1, 99)}")
    else:
        editor.set_value(("parts", part, "joints", joint, "kind"), rng.choice(KINDS))
    if editor.read().machine is not None:
        desk.folder.machine.write_text(editor.text, encoding="utf-8")


def change_the_table(rng, monkeypatch):
    """A newer program holds something else to be loose."""
    loose = {kind: rng.random() < 0.6 for kind in KINDS}
    for module in (bags, at_one_moment):
        monkeypatch.setattr(module, "needs_bag", lambda joint: loose.get(joint.kind, True))


def act(desk, rng):
    moment = desk.moment()
    done = list(moment.state.ticks)
    what = rng.choices(("tick", "undo", "turn", "skip"), (8, 3, 0.6, 0.4))[0]
    if what == "undo" and done:
        desk.undo(rng.choice((None, moment.state.number(rng.choice(done[-3:])))))
    elif what == "turn":
        desk.turn(apart=moment.state.turned)
    elif what == "skip" and moment.state.left:
        desk.skip([moment.state.left[0][1]], "was off")
    else:
        ops, words = bare(moment)
        if ops:
            desk.done(ops, **words)


@pytest.mark.parametrize("number", range(1, JOBS + 1))
def test_what_is_written_stays_whatever_the_file_and_the_table_say_later(tmp_path, number, monkeypatch):
    text, targets = job_called(f"random {number}")
    rng = random.Random(number)
    machine = tmp_path / "machine.yaml"
    machine.write_text(text, encoding="utf-8")
    off = [f"{name}" for word, name in targets if word == "off"] or [targets[0][1]]
    desk = Desk(begin_job(tmp_path / "job", machine=machine, off=off), ANN)
    shelf = Shelf(desk)
    for _ in range(ACTS):
        if rng.random() < 0.4:
            change_the_file(desk, rng)
            shelf.check()
        if rng.random() < 0.2:
            change_the_table(rng, monkeypatch)
            shelf.check()
        try:
            act(desk, rng)
        except SequencerError:
            continue
        shelf.fill()
        shelf.check()
        if rng.random() < 0.2:  # another program opens the job
            desk.close()
            desk = shelf.desk = Desk(desk.folder, ANN)
            shelf.check()
    desk.close()


def test_a_bag_keeps_its_number_when_its_joint_is_undone_again_and_a_new_joint_gets_another(desk):
    before = numbers(desk)
    desk.done("1-4")
    (first, *_) = undone(desk)
    desk.undo()
    assert numbers(desk) == before
    desk.done("1-4")
    assert status(desk.moment()).bags[0].number == before[first]
    assert desk.log()[-1].event.body.get(BAGS) is None  # it is in the journal since the job was begun


def test_what_is_told_again_under_another_name_lies_in_the_bag_that_it_was_put_into(tmp_path):
    desk = desk_at(tmp_path / "job")
    desk.did("chain guard: 3 screws PH2, lifts off")
    desk.did("drip tray: 2 bolts 10")
    desk.did("unplugged two connectors of the loom")
    assert set(desk.moment().labels) == set()  # nobody was asked to label them
    desk.undo()
    guard, tray = numbers(desk).values()
    desk.undo(desk.log()[1 + [one.event.kind for one in desk.log()].index(EventKind.CHANGED)].event.id)
    assert list(numbers(desk).values()) == [tray]
    desk.did("belt cover: 3 screws PH2, lifts off")
    assert sorted(numbers(desk).items()) == [("belt-cover/screws", guard), ("drip-tray/bolts", tray)]
    desk.close()


def test_a_bag_that_somebody_names_is_the_bag_and_the_next_ones_go_by_that(tmp_path):
    desk = desk_at(tmp_path / "job")
    desk.did("cover: 4 bolts 10, bag 2")
    desk.did("drip tray: 2 bolts 10")
    said = desk.did("belt guard: 3 screws PH2, in bag 1")
    assert numbers(desk) == {"cover/bolts": 2, "drip-tray/bolts": 1, "belt-guard/screws": 1}
    assert any("bag 1 has the drip tray: bolts in it, too" in text for text in said.words)
    desk.did("no, 4 screws")
    assert numbers(desk)["belt-guard/screws"] == 1
    desk.did("stay off, 1 nut 13")
    assert numbers(desk)["stay/nut"] == 3
    assert "bag" not in desk.folder.machine.read_text("utf-8").casefold()
    desk.close()


def test_a_job_of_a_program_that_did_not_keep_them_numbers_as_that_did(desk):
    desk.done("1-6")
    old = Replay()
    for one in desk.log():
        body = {key: what for key, what in one.event.body.items() if key not in (BAGS, MARKS)}
        old.take([replace(one, event=replace(one.event, body=body))])
    moment = desk.moment()
    before = at_one_moment.Moment(moment.card, moment.sight, old.state())
    assert (before.bags, before.labels) == (moment.bags, moment.labels)
    assert to_keep(before, [])[BAGS].items() >= numbers(desk).items()
