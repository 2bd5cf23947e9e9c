"""A change of what a file includes is written into that file, beside the include; the assembly stays."""

import pytest

from sequencer.machine.edit import EditError, Editor
from tests.machine.test_edit import changes, unplaced
from tests.machine.test_include import CAR, WHEEL
from tests.support.profile import before_landing, counts
from tests.support.random_includes import random_included


@pytest.fixture
def car(tmp_path):
    (tmp_path / "wheel.yaml").write_text(WHEEL, "utf-8")
    (tmp_path / "car.yaml").write_text(CAR, "utf-8")
    yield tmp_path / "car.yaml"
    assert (tmp_path / "wheel.yaml").read_text("utf-8") == WHEEL


def parts_of(editor):
    return {name: unplaced(part) for name, part in editor.read().machine.parts.items()}


@before_landing
@pytest.mark.parametrize(
    ("edit", "written"),
    [
        (
            lambda e: e.add_need("rf-caliper", "behind", "shaft", comment="found"),
            ["+    behind: [rf-wheel, rf-sensor/plug, shaft]  # found"],
        ),
        (
            lambda e: e.set_value("parts/rf-caliper/joints/pins/time", "3 min"),
            ["+    joints:", "+      pins: {time: 3 min}"],
        ),
        (
            lambda e: e.set_value("parts/rf-caliper/joints/pins/torque/value", "28 N.m"),
            ["+    joints:", "+      pins: {torque: {value: 28 N.m}}"],
        ),
        (
            lambda e: e.add_joint("rf-caliper", "hose", {"kind": "clip"}),
            ["+    joints:", "+      hose: {kind: clip}"],
        ),
        (
            lambda e: e.remove("parts/rf-caliper/joints/pins/face"),
            ["+    joints:", "+      pins: {face: ~}"],
        ),
        (
            lambda e: e.remove_need("rf-caliper", "behind", "rf-sensor/plug"),
            ["+    behind: [rf-wheel]"],
        ),
        (lambda e: e.set_value("parts/rf-caliper/found", "2026-11-25"), ["+    found: 2026-11-25"]),
    ],
)
def test_one_part_changes_and_the_file_says_only_that(car, edit, written):
    editor = Editor(car)
    before = parts_of(editor)
    edit(editor)
    after = parts_of(editor)
    assert {name for name in after if after[name] != before[name]} == {"rf-caliper"}
    assert list(after) == list(before)
    assert changes(editor) == ["+  rf-caliper:", *written]
    assert editor.words == (
        f"`rf-caliper` has an entry of its own in {car} now; the assembly `wheel.yaml` stays as it is",
    )
    editor.save()


def test_a_task_that_is_included_changes_too_and_a_new_section_is_made_where_it_is_missing(car):
    car.write_text(CAR.replace("tasks: {raise: {undo: {}}}", "tasks: {raise: {undo: {}}}  # here"), "utf-8")
    editor = Editor(car)
    editor.set_value("tasks/rf-push/time", "2 min")
    editor.set_value("tools/piston/label", "My piston tool")
    assert "tasks: {raise: {undo: {}}, rf-push: {time: 2 min}}  # here\n" in editor.text
    machine = editor.read().machine
    assert (machine.tasks["rf-push"].seconds, machine.tools["piston"].label) == (120, "My piston tool")


def test_what_is_included_is_not_taken_out_and_its_names_are_taken(car):
    editor = Editor(car)
    with pytest.raises(EditError, match="stands for several, and can't be changed for one of them"):
        editor.remove("parts/rf-caliper")
    with pytest.raises(EditError, match=r"`parts/rf-caliper` is in .*car.yaml already"):
        editor.add_part("rf-caliper", {})
    editor.add_part("stay", {"joints": {"a": {"kind": "clip"}}}, after="rf-caliper")
    assert not any("rf-caliper" in line for line in changes(editor))


@pytest.mark.parametrize("seed", range(counts(quick=3, landing=5, nightly=400)))
def test_random_machines_change_in_one_part_alone(seed, tmp_path):
    files, plain, _ = random_included(seed)
    for name, text in files.items():
        (tmp_path / name).write_text(text, "utf-8")
    editor = Editor(tmp_path / "machine.yaml")
    if editor.read().machine is None:
        return
    before = parts_of(editor)
    for name in list(before)[seed % 3 :: counts(quick=5, nightly=1)]:
        changed, by_hand = Editor(tmp_path / "machine.yaml"), Editor(text=plain)
        for one in (changed, by_hand):
            one.set_value(("parts", name, "note"), "found")
            one.append(("parts", name, "trapped_by"), {"any": ["x", "y"]})
        assert {key: changed.value(("parts", key)) for key in before} == {
            key: by_hand.value(("parts", key)) for key in before
        }
    for name, text in files.items():
        assert (tmp_path / name).read_text("utf-8") == text
