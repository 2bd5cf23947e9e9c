"""Write-back into the example machines: exact differences, comments, short forms, and saving."""

import copy
import os
import stat
from pathlib import Path

import pytest

from sequencer.machine.edit import EditError, Editor, replace_file
from sequencer.machine.faults import MachineFileError
from sequencer.machine.model import Atom, Need, Place, State
from sequencer.machine.reading import load, read_text
from sequencer.machine.trade.relations import OFF, barring
from tests.support.profile import before_landing, counts

ROOT = Path(__file__).resolve().parents[2]
FILES = [
    ROOT / "models/delivery-van.yaml",
    ROOT / "examples/bench-pump.yaml",
    Path(__file__).parent / "page.yaml",
]
PUMP = FILES[1]

SMALL = """\
machine: Small
parts:
  guard: {joints: {clip: {kind: clip}}}     # the cover
  motor:
    behind: guard
    joints:
      feet: {kind: bolt, head: 13, torque: 9 N.m}  # slotted
    loose: [feet]
# the end
"""


def changes(editor):
    return [line for line in editor.diff().splitlines() if line[0] in "+-" and line[:3] not in ("---", "+++")]


@before_landing
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_a_part_found_on_a_job_is_only_added_lines_and_loads_as_the_machine_before_and_the_part(path):
    before = load(path)
    parts = list(before.parts)
    editor = Editor(path)
    joints = {"bolts": {"kind": "bolt", "head": 10, "count": 2}}
    editor.add_part("extra", {"behind": [parts[0]], "joints": joints}, after=parts[1], comment="found")
    editor.set_value("parts/extra/note", "found: today, by lamp")
    after = editor.read().machine
    assert changes(editor) == [
        "+  # found",
        "+  extra:",
        f"+    behind: [{parts[0]}]",
        "+    joints:",
        "+      bolts: {kind: bolt, head: 10, count: 2}",
        '+    note: "found: today, by lamp"',
    ]
    assert list(after.parts) == [*parts[:2], "extra", *parts[2:]]
    assert after.parts["extra"].joints["bolts"].count == 2
    assert {name: unplaced(after.parts[name]) for name in parts} == {
        n: unplaced(p) for n, p in before.parts.items()
    }


def unplaced(thing):
    import re

    return re.sub(r"Place\([^)]*\)|, revision='\w*'", "", repr(thing))


@before_landing
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_a_need_and_a_time_for_a_joint_touch_that_joint_alone(path):
    """Joints of the whole file: all of a small one, every so many of a large one."""
    machine, opened = load(path), Editor(path)
    joints = [(part, joint) for part in machine.parts.values() for joint in part.joints.values()]
    for part, joint in joints[:: max(1, len(joints) // counts(quick=1, landing=2, nightly=8))]:
        # A change makes a new layout in its editor; the one that was opened stays as it is.
        editor = copy.copy(opened)
        other = next(name for name in machine.parts if name != part.name)
        editor.set_value(("parts", part.name, "joints", joint.name, "time"), "3 min")
        wanted = Atom(other) not in [atom for need in joint.under("behind") for atom in need.any_of]
        if wanted:
            editor.add_need(f"{part.name}/{joint.name}", "behind", {"any": [other, {other: "loose"}]})
        after = editor.read().machine.parts
        new = after[part.name].joints[joint.name]
        assert new.seconds == 180
        assert len(new.under("behind")) == len(joint.under("behind")) + wanted
        assert sum(line[0] == "-" for line in changes(editor)) <= 2
        assert {name for name in after if unplaced(after[name]) != unplaced(machine.parts[name])} == {
            part.name
        }


def test_the_author_s_short_ways_of_writing_are_kept_and_lengthened_where_they_must_be():
    editor = Editor(text=SMALL)
    editor.add_need("motor", "behind", {"guard": "loose"})
    editor.set_value("parts/motor/joints/feet/torque/source", "the maker's manual")
    editor.set_value("parts/motor/loose/time", "20 s")
    editor.add_joint("guard", "screws", {"kind": "screw", "head": "T25"}, comment="under the sticker")
    editor.add_task("prop", {"label": "Prop it, twice", "before": ["motor"]})
    assert (
        editor.text
        == """\
machine: Small
tasks:
  prop: {label: "Prop it, twice", before: [motor]}
parts:
  # under the sticker
  guard: {joints: {clip: {kind: clip}, screws: {kind: screw, head: T25}}}     # the cover
  motor:
    behind: [guard, {guard: loose}]
    joints:
      feet: {kind: bolt, head: 13, torque: {value: 9 N.m, source: the maker's manual}}  # slotted
    loose: {joints: [feet], time: 20 s}
# the end
"""
    )


def test_a_line_that_gets_too_long_is_broken_inside_its_braces():
    editor = Editor(PUMP)
    editor.set_value(
        "parts/cover/joints/bolts/note", "one of them is behind the bracket and shorter than the others"
    )
    assert [line[:1] for line in changes(editor)] == ["-", "+", "+"]
    assert changes(editor)[-1].startswith("+              note: one of them")
    assert editor.read().faults == ()


def test_a_comment_goes_behind_its_line_and_a_second_one_above():
    editor = Editor(text=SMALL)
    editor.set_value("parts/motor/behind", "it", comment="seen")
    editor.set_value("parts/guard/joints/clip/kind", "tie", comment="seen")
    assert "    behind: it  # seen\n" in editor.text
    assert "  # seen\n  guard: {joints: {clip: {kind: tie}}}     # the cover\n" in editor.text


def test_needs_of_the_model_are_written_as_a_file_has_them():
    editor = Editor(text=SMALL)
    here = Place("x", 1, 1)
    editor.add_need("guard", "trapped_by", Atom("motor", State.LOOSE))
    editor.add_need(
        "guard",
        "trapped_by",
        Need((Atom("motor", State.OFF, "feet"), Atom("motor")), here, barring(OFF)),
    )
    assert editor.value("parts/guard/trapped_by") == [{"motor": "loose"}, {"any": ["motor/feet", "motor"]}]
    editor.remove_need("guard", "trapped_by", Atom("motor", State.LOOSE))
    editor.remove_need("guard", "trapped_by", {"any": ["motor/feet", "motor"]})
    assert editor.text == SMALL
    assert not editor.changed


@pytest.mark.parametrize(
    ("edit", "problem"),
    [
        (lambda e: e.add_part("motor", {}), "`parts/motor` is in machine.yaml already"),
        (lambda e: e.add_part("x", {}, after="nobody"), "there is no `parts/nobody`"),
        (lambda e: e.add_joint("nobody", "x", {}), "there is no `parts/nobody`"),
        (lambda e: e.add_joint("motor", "feet", {}), "is in machine.yaml already"),
        (lambda e: e.add_need("motor/no", "behind", "guard"), "there is no `parts/motor/joints/no`"),
        (lambda e: e.add_need("motor", "behind", "guard"), "has this entry already"),
        (lambda e: e.add_need("motor", "label", "guard"), "is not a list of needs"),
        (lambda e: e.remove_need("motor", "behind", "x"), "has no such entry"),
        (lambda e: e.set_value("parts/nobody/time", "1 s"), "there is no `parts/nobody`"),
        (lambda e: e.set_value("parts/motor/joints/no/time", "1 s"), "there is no `parts/motor/joints/no`"),
        (lambda e: e.set_value("machine/name", "x"), "`machine` has no keys under it"),
        (lambda e: e.remove("parts/x"), "there is no `parts/x`"),
    ],
)
def test_what_can_t_be_done_is_said_and_changes_nothing(edit, problem):
    editor = Editor(text=SMALL)
    with pytest.raises(EditError, match=problem):
        edit(editor)
    assert editor.text == SMALL


def test_an_empty_text_can_be_filled_from_nothing():
    editor = Editor(text="")
    editor.set_value("machine", "New")
    editor.add_part("a", {"label": "A: b", "joints": {"x": {"kind": "clip"}}})
    editor.set_value("positions/bench", {"label": "Bench"})
    editor.append("first", "isolate")
    editor.add_task("isolate", {})
    assert read_text(editor.text).faults == ()
    assert list(editor.value(())) == ["machine", "positions", "tasks", "first", "parts"]


# ---- Saving ----


def copied(tmp_path, text=None):
    path = tmp_path / "m.yaml"
    path.write_bytes((text or PUMP.read_text(encoding="utf-8")).encode())
    return path


def test_saving_replaces_the_file_behind_a_link_and_keeps_its_rights_and_marks(tmp_path):
    path = copied(tmp_path, "\ufeff" + SMALL.replace("\n", "\r\n").removesuffix("\r\n"))
    path.chmod(0o640)
    link = tmp_path / "link.yaml"
    link.symlink_to(path)
    editor = Editor(link)
    editor.set_value("parts/motor/found", "2026-11-25") if "found" in known_keys() else editor.set_value(
        "parts/motor/note", "2026-11-25"
    )
    editor.save()
    assert link.is_symlink()
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    content = path.read_bytes()
    assert content.startswith(b"\xef\xbb\xbfmachine: Small\r\n")
    assert content.endswith(b"# the end")
    assert content.count(b"\r\n") == content.count(b"\n") == 9
    assert [one.name for one in tmp_path.iterdir() if one.name.startswith(".")] == []


def known_keys():
    from sequencer.machine.schema.entries import PartEntry

    return PartEntry.keys()


def test_a_result_that_does_not_load_is_refused_with_its_faults_and_the_file_stays(tmp_path):
    path = copied(tmp_path)
    before = path.read_bytes()
    editor = Editor(path)
    editor.add_need("cover", "behind", "nowhere")
    with pytest.raises(MachineFileError, match="there is no part `nowhere`"):
        editor.save()
    assert path.read_bytes() == before


def test_a_file_that_someone_else_changed_is_left_alone(tmp_path):
    path = copied(tmp_path)
    editor = Editor(path)
    editor.set_value("about", "mine")
    theirs = path.read_text(encoding="utf-8") + "# theirs\n"
    path.write_text(theirs, encoding="utf-8")
    with pytest.raises(EditError, match="changed by someone else"):
        editor.save()
    assert path.read_text(encoding="utf-8") == theirs


def test_a_new_file_does_not_replace_one_that_is_there(tmp_path):
    path = tmp_path / "new.yaml"
    Editor(path, text=SMALL).save()
    assert path.read_text(encoding="utf-8") == SMALL
    with pytest.raises(EditError, match="changed by someone else"):
        Editor(path, text=SMALL + "# again\n").save()


def test_edits_may_go_on_after_a_save(tmp_path):
    path = copied(tmp_path)
    editor = Editor(path)
    for note in ("one", "two"):
        editor.set_value("parts/cover/note", note)
        editor.save()
        assert not editor.changed
        assert load(path).parts["cover"].notes.way_in == (note,)


def test_a_write_that_fails_leaves_the_old_file_and_nothing_beside_it(tmp_path, monkeypatch):
    path = copied(tmp_path)
    before = path.read_bytes()

    def full(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Exception, match="can't be written: No space left"):
        replace_file(path, b"half")
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


def test_what_is_not_yaml_is_refused_when_it_is_opened(tmp_path):
    with pytest.raises(MachineFileError, match="no such file"):
        Editor(tmp_path / "none.yaml")
    with pytest.raises(MachineFileError, match="here a second time"):
        Editor(text="a: 1\na: 2\n")
