"""One of several that are written once is changed: the others stay what they are, and the text around too."""

import pytest

from sequencer.machine.edit import EditError, Editor
from sequencer.machine.model import Atom
from sequencer.machine.reading import read_text
from tests.machine.test_edit import changes, unplaced
from tests.support.profile import before_landing, counts
from tests.support.random_repeats import random_repeated

ENGINE = """\
machine: Engine
repeat:
  side: {left: {stand: left-wing}, right: {stand: right-wing}}   # as you sit in it
  row: [front, rear]
positions: {here: {}, left-wing: {}, right-wing: {}}
tasks: {prop-<side>: {from: <side.stand>, undo: {}}}
parts:
  loom: {joints: {clip: {kind: clip}}}

  # the covers
  cover-<side>:
    label: Cover, <side>
    from: <side.stand>          # on the <side>
    behind: [loom]
    # eight of them
    joints: {bolts: {kind: bolt, head: 8, count: 8}}
    note: "<side>: mind the \\"lip\\""

  coil-<side>-<row>: {behind: [cover-<side>], joints: {plug: {kind: connector, torque: }}}
  gearbox: {behind: [cover-<side>, loom], needs: prop-<side>, joints: {a: {kind: clip}}}
# the end
"""


def opened(text=ENGINE):
    editor = Editor(text=text)
    assert [str(one) for one in editor.read().faults if one.severity == "error"] == []
    return editor


def parts_of(text):
    return {name: unplaced(part) for name, part in read_text(text).machine.parts.items()}


def test_one_side_alone_is_changed_beside_what_is_said_of_both():
    editor = opened()
    editor.add_need("cover-left", "behind", "gearbox", comment="found")
    note = '    note: "<side>: mind the \\"lip\\""\n'
    own = "  cover-left:\n    behind: [loom, gearbox]  # found\n"
    assert editor.text == ENGINE.replace(note, note + own)
    assert editor.words == (
        "`cover-left` has an entry of its own in machine.yaml now; `cover-<side>` stays as it is",
    )
    editor.set_value("parts/cover-left/weight", "2 kg")
    assert editor.text == ENGINE.replace(note, note + own + "    weight: 2 kg\n")
    assert len(editor.words) == 1


@before_landing
@pytest.mark.parametrize(
    "edit",
    [
        lambda e: e.add_need("cover-left", "trapped_by", "gearbox"),
        lambda e: e.add_need("cover-left/bolts", "behind", {"loom": "off"}),
        lambda e: e.set_value("parts/cover-left/joints/bolts/time", "3 min"),
        lambda e: e.set_value("parts/cover-left/found", "2026-11-25"),
        lambda e: e.add_joint("cover-left", "stay", {"kind": "bolt", "head": 10}),
        lambda e: e.remove("parts/cover-left/joints/bolts/count"),
        lambda e: e.remove("parts/cover-left/label"),
        lambda e: e.remove_need("cover-left", "behind", "loom"),
    ],
)
def test_whatever_is_changed_of_one_part_no_other_part_changes(edit):
    editor, before = opened(), parts_of(ENGINE)
    edit(editor)
    after = parts_of(editor.text)
    assert {name for name in after if after[name] != before.get(name)} == {"cover-left"}
    assert list(after) == list(before)
    assert not any(line.startswith("-  gearbox") for line in changes(editor))


def test_of_two_marks_one_pair_is_changed():
    editor, before = opened(), parts_of(ENGINE)
    editor.add_need("coil-right-front", "behind", Atom("loom"))
    after = parts_of(editor.text)
    assert {name for name in after if after[name] != before[name]} == {"coil-right-front"}
    assert changes(editor) == ["+  coil-right-front:", "+    behind: [cover-right, loom]"]


def test_an_entry_in_braces_is_written_there():
    editor = opened()
    editor.set_value("tasks/prop-right/time", "2 min")
    assert changes(editor)[1] == (
        "+tasks: {prop-<side>: {from: <side.stand>, undo: {}}, prop-right: {time: 2 min}}"
    )


def test_what_was_changed_of_one_is_taken_back_and_a_key_of_all_taken_away():
    editor, before = opened(), parts_of(ENGINE)
    editor.set_value("parts/cover-left/weight", "2 kg")
    editor.set_value("parts/cover-left/joints/bolts/head", "10")
    editor.remove("parts/cover-left/weight")
    editor.set_value("parts/cover-left/joints/bolts/head", "8")
    assert parts_of(editor.text) == before
    editor.remove("parts/cover-left/joints/bolts/count")
    assert "      bolts: {head: 8, count: ~}\n" in editor.text
    assert editor.read().machine.parts["cover-left"].joints["bolts"].count == 1
    assert [str(one) for one in editor.read().faults if "`torque` has nothing" not in str(one)] == []


def test_what_is_written_short_is_changed_in_one_of_its_keys_and_in_another_way_of_saying_it():
    text = """\
machine: M
repeat: {n: [1, 2, 3]}
parts:
  lid-<n>: {joints: {a: {kind: bolt, head: 10, torque: 9 N.m}, b: {kind: bolt, head: 8, torque: {value: 7 N.m,
            again: later}}}, loose: [a]}
"""
    editor = opened(text)
    editor.set_value("parts/lid-1/joints/a/torque/source", "the plate")
    editor.set_value("parts/lid-1/joints/a/torque/value", "8 N.m")
    editor.set_value("parts/lid-2/joints/b/torque", "6 N.m")
    editor.set_value("parts/lid-2/joints/a/torque", ["3 N.m", "90 deg"])
    editor.set_value("parts/lid-3/loose/time", "4 s")
    lids = editor.read().machine.parts
    first, second = (lids[name].joints["a"].torque for name in ("lid-1", "lid-2"))
    assert (first.source, [one.text for one in first.stages]) == ("the plate", ["8 N.m"])
    assert [one.text for one in second.stages] == ["3 N.m", "90 deg"]
    assert lids["lid-2"].joints["b"].torque.again is None
    assert (lids["lid-3"].loose.joints, lids["lid-3"].loose.seconds) == (("a",), 4)


def test_what_is_written_once_can_still_be_changed_for_all_of_them():
    editor = opened()
    editor.set_value("parts/cover-<side>/weight", "2 kg")
    assert changes(editor) == ["+    weight: 2 kg"]
    assert {part.weight_kg for part in editor.read().machine.parts.values()} == {None, 2}


def test_a_list_that_names_all_sides_takes_more_and_loses_one():
    editor = opened()
    editor.add_need("gearbox", "behind", "coil-left-rear")
    assert changes(editor)[1].startswith("+  gearbox: {behind: [cover-<side>, loom, coil-left-rear], ")
    with pytest.raises(EditError, match="has this entry already"):
        editor.add_need("gearbox", "behind", "cover-right")
    editor.remove_need("gearbox", "behind", "cover-right")
    assert changes(editor)[1].startswith("+  gearbox: {behind: [cover-left, loom, coil-left-rear], ")
    editor.remove_need("gearbox", "needs", "prop-left")
    assert "needs: [prop-right]" in editor.text
    assert editor.words == ()
    assert editor.read().machine is not None


def test_values_are_told_as_they_are_meant():
    editor = opened()
    assert editor.value("parts/cover-right/label") == "Cover, right"
    assert editor.value("parts/cover-<side>/label") == "Cover, <side>"
    assert editor.value("parts/gearbox/behind") == ["cover-left", "cover-right", "loom"]
    assert editor.value("repeat/row") == ["front", "rear"]
    assert editor.value("parts/cover-right/head") is None
    assert not editor.changed


def test_a_name_that_one_of_several_has_is_taken_and_a_new_part_can_stand_behind_them():
    editor = opened()
    with pytest.raises(EditError, match=r"`parts/cover-left` is in machine.yaml already"):
        editor.add_part("cover-left", {})
    with pytest.raises(EditError, match=r"`parts/cover-left/joints/bolts` is in machine.yaml already"):
        editor.add_joint("cover-left", "bolts", {})
    with pytest.raises(EditError, match=r"there is no `parts/cover-middle` in machine.yaml"):
        editor.add_need("cover-middle", "behind", "loom")
    assert editor.text == ENGINE
    editor.add_part("stay", {"joints": {"a": {"kind": "clip"}}}, after="cover-left")
    assert list(parts_of(editor.text))[1:5] == ["cover-left", "cover-right", "stay", "coil-left-front"]


def test_a_change_that_fails_leaves_the_text_as_it_was():
    editor = opened()
    for wrong in (
        lambda: editor.set_value("parts/cover-left/label/x", "y"),
        lambda: editor.add_need("cover-left", "behind", "loom"),
        lambda: editor.remove("parts/cover-left/time"),
    ):
        with pytest.raises(EditError):
            wrong()
    assert (editor.text, editor.words) == (ENGINE, ())


@before_landing
@pytest.mark.parametrize(
    "value", ["a, b", "x: y", "it's", 'the "big" one', "{", "null", "~", "# one", "- x", "12"]
)
def test_a_value_that_needs_quotes_gets_them(value):
    quoted = value.replace("'", "''")
    text = f"""\
machine: M
repeat: {{n: ['{quoted}', other]}}
parts:
  lid-<n>:
    label: <n>
    note: [Mind <n>, "<n>", 'the <n>']
    caution: |
      Of <n>
      only.
    joints: {{a: {{kind: clip, label: <n>, note: "<n> # <n>"}}}}
"""
    editor, before = opened(text), parts_of(text)
    editor.set_value("parts/lid-other/time", "5 s")
    after = parts_of(editor.text)
    assert {name for name in after if after[name] != before[name]} == {"lid-other"}


def test_one_of_several_is_not_taken_out():
    editor = opened()
    with pytest.raises(EditError) as refused:
        editor.remove("parts/cover-left")
    assert str(refused.value) == (
        "`parts/cover-left` in machine.yaml stands for several, and can't be changed for one of them; "
        "write it out for each by hand, then try again"
    )
    assert editor.text == ENGINE


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_a_file_that_ends_with_what_is_written_once(line_end):
    text = "machine: M\nrepeat: {n: [1, 2]}\nparts:\n\n  lid-<n>:\n    note: <n>".replace("\n", line_end)
    editor = opened(text)
    editor.set_value("parts/lid-2/time", "5 s")
    assert editor.text.split(line_end)[3:] == [
        "", "  lid-<n>:", "    note: <n>", "  lid-2:", "    time: 5 s",
    ]  # fmt: skip


@pytest.mark.parametrize("seed", range(counts(quick=3, landing=8, nightly=400)))
def test_random_machines_change_in_one_part_alone(seed):
    text, plain, _ = random_repeated(seed, 2)
    before = parts_of(text)
    for name in list(before)[seed % 2 :: counts(quick=4, nightly=1)]:
        editor, by_hand = opened(text), Editor(text=plain)
        for one in (editor, by_hand):
            one.set_value(("parts", name, "note"), "found")
            one.append(("parts", name, "trapped_by"), {"any": ["x", "y"]})
        assert changes(editor)
        assert editor.value(("parts", name)) == by_hand.value(("parts", name))
        assert {key: editor.value(("parts", key)) for key in before} == {
            key: by_hand.value(("parts", key)) for key in before
        }
