"""Torque figures told in the middle of a job: by joint, part, thread and class; never past the guard."""

from dataclasses import replace
from pathlib import Path

import pytest

from sequencer.document.steps.cards import refit_cards
from sequencer.errors import SequencerError
from sequencer.job.desk import Desk
from sequencer.job.now.acts import RefusedError
from sequencer.job.reports.record import torque_record
from sequencer.job.work import figures
from sequencer.job.work.figure_words import is_by_hand, split_words
from sequencer.job.work.figures import meant
from sequencer.machine.figures import wants_figure
from sequencer.machine.reading import load
from tests.job.conftest import ANN, begin_job

FILE = Path(__file__).parent / "figured.yaml"


@pytest.fixture
def desk(tmp_path):
    begin_job(tmp_path / "job", off=("rotor", "stay"), machine=FILE)
    with Desk.open(tmp_path / "job", ANN) as opened:
        yield opened


def told(*words):
    names, figure = split_words(words)
    return names, figure.text if figure else None, figure.source if figure else None


@pytest.mark.parametrize(
    ("words", "names", "text", "source"),
    [
        (("cover bolts", "10", "N.m", "manual p. 12"), ("cover bolts",), "10 N.m", "manual p. 12"),
        (("cover bolts", "10 N.m", "manual", "p.", "12"), ("cover bolts",), "10 N.m", "manual, p., 12"),
        (("cover bolts", "sump plug", "10Nm", "memory"), ("cover bolts", "sump plug"), "10Nm", "memory"),
        (("cover bolts: 10 Nm, manual p. 12",), ("cover bolts",), "10 Nm", "manual p. 12"),
        (("all M6 8.8", "20 N.m, 90 deg", "manual"), ("all M6 8.8",), "20 N.m, 90 deg", "manual"),
        (("rotor", "20 N.m", "90", "deg", "drawing"), ("rotor",), "20 N.m, 90 deg", "drawing"),
        (("rotor 20 N.m then 90 deg, drawing",), ("rotor",), "20 N.m, 90 deg", "drawing"),
        (("cover bolts", "by", "hand"), ("cover bolts",), "by hand: hand tight", ""),
        (("cover bolts", "hand tight", "plastic"), ("cover bolts",), "by hand: plastic", ""),
        (("nut", "9", "N.m", "+", "2", "N.m", "prevailing", "a"), ("nut",), "9 N.m, 2 N.m prevailing", "a"),
        (("nut 9 Nm plus 2 Nm prevailing, page 3",), ("nut",), "9 Nm, 2 Nm prevailing", "page 3"),
        (
            ("a nut", "b nut", "9 N.m", "prevailing", "2", "N.m"),
            ("a nut", "b nut"),
            "9 N.m, 2 N.m prevailing",
            "",
        ),
        (("a nut", "b nut", "prevailing 2 N.m"), ("a nut", "b nut"), "2 N.m prevailing", ""),
        (("cover bolts", "manual"), ("cover bolts", "manual"), None, None),
        (("25", "N.m"), (), "25 N.m", ""),
    ],
)
def test_a_figure_is_read_as_a_terminal_cuts_it(words, names, text, source):
    if not names:
        assert split_words(words)[1] is None
        return
    assert told(*words) == (names, text, source)


def test_words_for_hand_tight():
    assert all(map(is_by_hand, ("by hand, tight", "Hand tight", "snug")))
    assert not is_by_hand("handle")


@pytest.mark.parametrize(
    ("name", "joints"),
    [
        ("cover bolts", ["cover/bolts"]),
        ("front cover", ["cover/bolts"]),
        ("rotor/nut", ["rotor/nut"]),
        ("all of the sump", ["sump/bolts", "sump/plug"]),
        ("all M6 8.8", ["cover/bolts", "sump/bolts"]),
        ("all M6 8.8 in aluminium", ["cover/bolts"]),
        ("every M6x1 bolt in steel", ["sump/bolts"]),
        ("all M8", ["stay/upper", "stay/lower"]),
        ("all M8 8.8 in aluminium", ["stay/upper", "stay/lower"]),
        ("all 13 mm bolts of the stay", ["stay/upper", "stay/lower"]),
    ],
)
def test_a_name_means_joints(name, joints):
    assert [joint.path for joint in meant(load(FILE), name).joints] == joints


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("sump", "all of sump"),
        ("stay bolts", "stay/upper, stay/lower"),
        ("M6 8.8", "all M6 8.8"),
        ("all M5", "there are M6 8.8, M14x1.5, M8 8.8"),
        ("all of it", "no part of the machine"),
        ("gasket", "no joint"),
    ],
)
def test_what_may_be_several_or_none_is_asked(name, message):
    with pytest.raises(SequencerError) as said:
        meant(load(FILE), name)
    assert message in str(said.value)


def give(desk, *words):
    names, figure = split_words(words)
    return desk.write(figures.figure(names, figure, desk.file))


def test_a_figure_is_in_the_file_and_a_gate_of_the_way_back_and_is_taken_back(desk):
    text = desk.folder.machine.read_bytes()
    said = give(desk, "cover bolts", "10 N.m", "manual p. 12")
    assert said.words[0] == "cover/bolts: torque 10 N.m (manual p. 12)"
    torque = desk.machine.joint("cover", "bolts").torque
    assert ([stage.text for stage in torque.stages], torque.source) == (["10 N.m"], "manual p. 12")
    desk.undo()
    assert desk.folder.machine.read_bytes() == text


def test_a_figure_may_wait_until_something_is_back(desk):
    names, figure = split_words(("cover bolts", "10 N.m", "manual p. 12"))
    with pytest.raises(SequencerError, match="there is no task, fluid, part or joint 'jack'"):
        desk.write(figures.figure(names, replace(figure, when=("jack",)), desk.file))
    desk.write(figures.figure(names, replace(figure, when=("the stay",)), desk.file))
    assert desk.machine.joint("cover", "bolts").torque.when == (("parts", "stay"),)
    give(desk, "cover bolts", "12 N.m", "manual p. 13")
    assert desk.machine.joint("cover", "bolts").torque.when == (("parts", "stay"),)
    desk.done([op for _, op in desk.state().left])
    desk.turn()
    left = [op for _, op in desk.state().left]
    assert left.index("fit stay") < left.index("torque cover/bolts")


def test_what_a_nut_drags_is_on_top_of_the_torque_at_every_door(desk):
    """60 N.m of the file and 5 of the nut: 65 on the wrench, and in the record both."""
    desk.done([op for _, op in desk.state().left])
    desk.turn()
    with pytest.raises(SequencerError, match="no torque is there to add it to"):
        give(desk, "cover bolts", "5 N.m prevailing")
    give(desk, "rotor/nut", "5 N.m prevailing", "read on the bench")
    torque = desk.machine.joint("rotor", "nut").torque
    parts = (*torque.stages, *torque.seating, torque.prevailing)
    assert [one.text for one in parts] == ["65 N.m", "60 N.m", "5 N.m"]
    assert torque.source == "drawing"
    cards = {card.operation: card for station in refit_cards(desk.moment().plan) for card in station.steps}
    assert cards["torque rotor/nut"].gate[0] == "65 N.m (48 lbf.ft): 60 N.m + 5 N.m prevailing"
    assert any("read the drag as it runs down" in line for line in cards["fasten rotor/nut"].lines)
    desk.done(["fit rotor", "fasten rotor/nut", "fasten rotor/small"])
    with pytest.raises(RefusedError, match=r"60 N.m is below what is asked: 65 N.m"):
        desk.done(["torque rotor/nut"], torque="60 N.m")
    desk.done(["torque rotor/nut"], torque="65 N.m")
    entry = next(one for one in torque_record(desk.moment()) if one.joint == "rotor/nut")
    assert (entry.asked, entry.read, entry.state) == ("65 N.m (5 N.m of it prevailing)", "65 N.m", "closed")


def test_a_figure_told_on_the_way_back_is_asked_at_its_gate(desk):
    desk.done([op for _, op in desk.state().left])
    desk.turn()
    assert "torque cover/bolts" not in [op for _, op in desk.state().left]
    give(desk, "cover bolts", "10 N.m", "manual p. 12")
    left = [op for _, op in desk.state().left]
    assert left.index("fasten cover/bolts") < left.index("torque cover/bolts")


def test_a_group_fills_what_lacks_a_figure_and_says_what_it_leaves(desk):
    give(desk, "cover bolts", "9 N.m", "drawing")
    said = give(desk, "all M6 8.8", "10 N.m", "manual")
    assert said.words[:3] == (
        "sump/bolts: torque 10 N.m (manual)",
        "as it was, with a figure of its own: cover/bolts",
        "left as they are, of which the file says no class: rotor/small",
    )
    assert desk.machine.joint("cover", "bolts").torque.stages[0].text == "9 N.m"
    with pytest.raises(RefusedError, match="name a joint by itself"):
        give(desk, "all M6 8.8", "11 N.m", "manual")
    give(desk, "cover bolts", "11 N.m", "manual")


def test_stages_and_hand_tight_are_written(desk):
    give(desk, "stay upper bolt", "stay/lower", "10 N.m then 60 deg", "drawing 4")
    for name in ("upper", "lower"):
        assert [s.text for s in desk.machine.joint("stay", name).torque.stages] == ["10 N.m", "60 deg"]
    give(desk, "all of the cover", "by hand", "seals by its ring")
    joint = desk.machine.joint("cover", "bolts")
    assert (joint.torque, joint.by_hand) == (None, "seals by its ring")


def test_the_guard_and_a_missing_source_stop_it(desk):
    text = desk.folder.machine.read_bytes()
    with pytest.raises(SequencerError, match="times its proof load"):
        give(desk, "cover bolts", "90 N.m", "manual")
    with pytest.raises(SequencerError, match="nothing says where"):
        give(desk, "cover bolts", "10 N.m")
    assert desk.folder.machine.read_bytes() == text


def test_what_is_odd_is_said(desk):
    assert any(word.startswith("high") for word in give(desk, "cover bolts", "17 N.m", "manual").words)


def test_which_joints_want_a_figure():
    machine = load(FILE)
    wanted = [j.path for part in machine.parts.values() for j in part.joints.values() if wants_figure(j)]
    assert wanted == [
        "cover/bolts", "sump/bolts", "sump/plug", "stay/upper", "stay/lower", "rotor/nut", "rotor/small",
    ]  # fmt: skip
