"""Found, trouble, also: into the journal, from there into this job's machine file, and into the plan."""

import difflib
import hashlib
from datetime import date

import pytest

from sequencer.errors import SequencerError
from sequencer.job.changes.finds import Find, held
from sequencer.job.desk import By, Desk, RefusedError
from sequencer.job.journal import edits
from sequencer.job.journal.events import Event, EventKind, checked
from sequencer.machine.reader import yaml_tree
from tests.job.conftest import ANN, PUMP, begin_job
from tests.support.profile import before_landing

ON = date(2026, 11, 25)
STAY = Find("upper stay", {"blocks": ("motor",)}, held=("bolt 10 x2",), position="bench")


def ops(desk):
    return [step.operation.name for step in desk.plan().steps]


def change(desk):
    return desk.state().of(EventKind.CHANGED)[-1].event.body


@before_landing
def test_what_is_found_comes_into_the_plan_before_what_it_blocks_and_the_rest_keeps_its_order(desk):
    before = ops(desk)
    desk.found(STAY, ON)
    after = ops(desk)
    assert [op for op in after if op in before] == before
    fresh = [op for op in after if op not in before]
    assert fresh == ["undo upper-stay/bolts", "remove upper-stay"]
    first_on_motor = next(n for n, op in enumerate(after) if "motor" in op)
    assert max(map(after.index, fresh)) < first_on_motor
    assert change(desk)["new"] == fresh
    assert change(desk)["moved"] == []


def test_what_is_in_the_way_of_a_part_that_is_half_undone_never_was_in_the_way_of_what_is_undone(desk):
    order = ops(desk)
    desk.done(",".join(order[: 1 + order.index("undo impeller/tab")]))
    desk.found(Find("upper stay", {"blocks": ("impeller",)}, held=("bolt 10 x2",)), ON)
    whole = desk.moment().whole
    waits = [op for op in order if any("upper-stay" in str(c.any_of) for c in whole.needs.get(op, ()))]
    assert waits == ["undo impeller/nut", "remove impeller"]


def test_known_steps_keep_their_numbers_and_new_ones_get_the_next(desk):
    numbers = {step.operation.name: step.number for step in desk.plan().steps}
    desk.found(STAY, ON)
    after = {step.operation.name: step.number for step in desk.plan().steps}
    assert {op: after[op] for op in numbers} == numbers
    assert after["undo upper-stay/bolts"] == 18


def test_it_is_written_into_the_jobs_own_file_with_its_day_and_all_else_stays(desk, job):
    desk.found(STAY, ON)
    text = job.machine.read_text("utf-8")
    assert "found on the job, 2026-11-25" in text
    assert "found: 2026-11-25" in text
    old = PUMP.read_text("utf-8").splitlines()
    changes = [line for line in difflib.ndiff(old, text.splitlines()) if line.startswith("- ")]
    assert changes == ["-     behind: [guard]"]  # the one line of the motor that says what it is behind
    assert desk.machine.parts["upper-stay"].joints["bolts"].count == 2
    assert PUMP.read_text("utf-8") == "\n".join(old) + "\n"


@before_landing
def test_an_event_without_its_change_in_the_file_is_made_good_by_whoever_looks_next(desk, job, monkeypatch):
    before = job.machine.read_bytes()
    desk.found(STAY, ON)
    told = job.machine.read_bytes()
    job.machine.write_bytes(before)  # as if the program had died between the two
    other = Desk(job, ANN)
    assert "remove upper-stay" in ops(other)
    assert job.machine.read_bytes() == told
    other.close()


def test_nothing_reaches_the_file_when_the_event_can_not_be_written(desk, job, monkeypatch):
    before = job.machine.read_bytes()

    def full(*_):
        raise SequencerError("the disk is full", "make room")

    monkeypatch.setattr("sequencer.job.journal.journal.Pen.add", full)
    with pytest.raises(SequencerError, match="disk is full"):
        desk.found(STAY, ON)
    assert job.machine.read_bytes() == before
    assert desk.state().of(EventKind.FOUND) == ()


def test_what_was_found_is_taken_back_out_of_plan_and_file(desk, job):
    before, digest = ops(desk), hashlib.sha256(job.machine.read_bytes()).hexdigest()
    desk.found(STAY, ON)
    desk.undo()
    assert ops(desk) == before
    assert "upper-stay" not in job.machine.read_text("utf-8")
    assert hashlib.sha256(job.machine.read_bytes()).hexdigest() == digest


def test_a_find_that_was_worked_on_is_not_taken_back_before_that_work(desk):
    desk.found(STAY, ON)
    found = desk.state().of(EventKind.FOUND)[0].event.id
    desk.done("task isolate,undo upper-stay/bolts")
    with pytest.raises(RefusedError, match="rests on it"):
        desk.undo(found[:8])
    desk.undo()
    desk.undo(found[:8])
    assert "upper-stay" not in desk.machine.parts


def test_a_hand_made_change_of_the_file_survives_a_find(desk, job):
    job.machine.write_text(job.machine.read_text("utf-8") + "# my own words\n", "utf-8")
    desk.found(STAY, ON)
    assert "# my own words" in job.machine.read_text("utf-8")
    assert "upper-stay" in job.machine.read_text("utf-8")


def test_what_makes_the_target_impossible_is_explained_and_not_written(desk, job):
    before = job.machine.read_bytes()
    with pytest.raises(SequencerError) as said:
        desk.found(Find("lid", {"blocks": ("guard",), "behind": ("impeller",)}), ON)
    assert "in a circle" in str(said.value)
    assert "impeller" in str(said.value)
    assert job.machine.read_bytes() == before
    assert desk.state().of(EventKind.FOUND) == ()


def test_a_find_may_be_one_more_joint_of_a_known_part_or_only_a_relation(desk):
    desk.found(Find("hidden bolt", on="motor", held=("bolt 13",)), ON)
    assert "hidden-bolt" in desk.machine.parts["motor"].joints
    desk.found(Find("outlet-pipe", {"blocks": ("motor",)}), ON)
    assert any(str(need) == "outlet-pipe" for need in desk.machine.parts["motor"].under("behind"))


@before_landing
@pytest.mark.parametrize(
    ("find", "message"),
    [
        (Find("x", {"blocks": ("motr",)}), "did you mean motor"),
        (Find("x", {"blocks": ("motor/feat",)}), "no joint 'motor/feat'; did you mean motor/feet?"),
        (Find("  ", {"blocks": ("motor",)}), "has no name"),
        (Find("motor"), "nothing new"),
        (Find("x", position="roof"), "no position"),
        (Find("x", held=("10 x2",)), "what kind of fastener"),
        (Find("x", held=("bolt 10 rusty",)), "also says 'rusty'"),
        (Find("x", on="motor"), "what else holds"),
    ],
)
def test_what_the_machine_does_not_have_is_refused_with_what_was_meant(desk, find, message):
    with pytest.raises(RefusedError) as said:
        desk.found(find, ON)
    assert message in str(said.value)


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("bolt 10 x2", {"kind": "bolt", "head": 10, "count": 2}),
        ("nut 13 M8 22 N.m", {"kind": "nut", "head": 13, "thread": "M8", "torque": "22 N.m"}),
        ("screw T25 ×3", {"kind": "screw", "head": "T25", "count": 3}),
        ("hose clip x2", {"kind": "clamp", "count": 2}),
        ("connector", {"kind": "connector"}),
        ("bolt allen 6", {"kind": "bolt", "head": "allen 6"}),
        ("bolts allen 1/2 in x2", {"kind": "bolt", "head": "allen 1/2 in", "count": 2}),
        (
            "bolt M8 8.8 13 106 in-lb",
            {"kind": "bolt", "head": 13, "thread": "M8", "class": "8.8", "torque": "106 lbf.in"},
        ),
    ],
)
def test_fasteners_are_told_in_a_few_words(text, fields):
    assert held(text) == fields


@before_landing
def test_a_seized_joint_gets_the_gentlest_way_first_and_the_next_one_when_that_fails(desk):
    said = desk.trouble("cover/bolts", "seized", ON)
    plan = ops(desk)
    assert plan.index("task penetrant-cover-bolts") < plan.index("undo cover/bolts")
    assert any("goggles" in word.casefold() for word in said.words)
    desk.trouble("cover/bolts", "seized", ON)
    assert "task shock-cover-bolts" in ops(desk)
    ways = [one.event.body["way"] for one in desk.state().of(EventKind.TROUBLE)]
    assert ways == ["penetrant", "shock"]


def test_a_joint_that_is_undone_gives_no_trouble_in_coming_undone(desk):
    desk.done("1-2")
    with pytest.raises(RefusedError, match="undone already"):
        desk.trouble("guard/screws", "seized", ON)


@before_landing
def test_a_spoilt_fastener_is_renewed_on_the_way_back(desk):
    desk.trouble("cover/bolts", "broken", ON, way="extract")
    assert any("spoilt" in item.item for item in desk.machine.parts["cover"].renew)


def test_a_target_more_is_planned_from_where_one_stands(desk):
    desk.done("1-3")
    before = ops(desk)
    desk.also(["outlet-pipe"])
    after = ops(desk)
    assert "remove outlet-pipe" in after
    assert [op for op in after if op in before] == [op for op in before if op in after]
    with pytest.raises(RefusedError, match="already"):
        desk.also(["outlet-pipe"])


def test_changes_made_twice_are_made_once(tmp_path):
    path = tmp_path / "pump.yaml"
    path.write_text(PUMP.read_text("utf-8"), "utf-8")
    change = [["add", ["parts", "stay"], {"joints": {"bolt": {"kind": "bolt", "head": 10}}}, None]]
    change += [["entry", ["parts", "motor", "behind"], "stay", "found"]]
    file = edits.MachineFile(path, path.name)
    once = edits.changed(file, change)
    twice = edits.changed(file, [*change, *change])
    assert once.text == twice.text
    assert once.changed


def test_an_entry_told_late_goes_before_another_once_and_is_taken_back(tmp_path):
    path = tmp_path / "pump.yaml"
    told = PUMP.read_text("utf-8") + "taken_apart:\n  order: [cover]   # as it came off\n"
    path.write_text(told, "utf-8")
    file = edits.MachineFile(path, path.name)
    order = ["taken_apart", "order"]
    late = [["before", order, "guard", "cover"], ["before", order, {"motor": "loose"}, None]]
    late += [["before", order, "stay", "what is not there any more"]]
    assert checked(Event(EventKind.FOUND, {"edits": late})).body["edits"] == late
    editor = edits.changed(file, [*late, *late])
    assert editor.value(tuple(order)) == ["stay", {"motor": "loose"}, "guard", "cover"]
    for one in reversed(late):
        edits.take_back(editor, one)
    assert editor.text == told


@before_landing
def test_a_job_of_several_devices_sees_a_find_at_once(tmp_path, database):
    job = begin_job(tmp_path / "shop", database=database)
    one, other = Desk(job, ANN), Desk(job, By("Bo", "phone"))
    one.found(STAY, ON)
    assert "remove upper-stay" in ops(other)
    one.close()
    other.close()


def test_no_text_of_the_file_is_parsed_twice_for_a_find(desk, monkeypatch):
    desk.moment()
    parsed = []
    parse = yaml_tree.YAML.parse

    def counted(parser, text):
        parsed.append(text)
        return parse(parser, text)

    monkeypatch.setattr(yaml_tree.YAML, "parse", counted)
    desk.found(Find("upper stay", {"blocks": ("motor",)}, held=("bolt 10 x2",)), ON)
    texts = [text for text in parsed if "parts:" in text and "positions:" in text]
    assert len(texts) == len(set(texts))
    assert 2 <= len(texts) <= 3  # as it was, with the part, with the part and what it blocks


def test_what_is_named_by_its_label_is_the_part_of_the_file(desk):
    desk.found(
        Find("lamp bracket", {"blocks": ("Pump pulley", "feet of the motor"), "behind": ("Belt guard",)}), ON
    )
    bracket = desk.machine.parts["lamp-bracket"]
    assert [str(atom.part) for need in bracket.under("behind") for atom in need.any_of] == ["guard"]
    assert "lamp-bracket" in str(desk.machine.parts["pulley"].under("behind"))
    assert "lamp-bracket" in str(desk.machine.joint("motor", "feet").under("behind"))
