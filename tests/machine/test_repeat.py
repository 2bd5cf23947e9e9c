"""What is written once for several: written out as the page says, or refused with its line and value."""

from pathlib import Path

import pytest

from sequencer.machine import read, read_text
from sequencer.machine.reader import repeat
from sequencer.machine.reading import Reading
from tests.machine.test_edit import unplaced
from tests.machine.texts import faults, machine
from tests.support.plain_machine import as_data
from tests.support.plain_repeat import Refused, written_out
from tests.support.profile import before_landing, counts
from tests.support.random_repeats import random_repeated

GUIDE = Path(__file__).parents[2] / "examples" / "guide" / "machine-file.md"

HEAD = """\
machine: Engine with two banks
repeat:
  side: {left: {stand: left-wing, count: 3}, right: {stand: right-wing, count: 4}}
  row: [front, rear]
positions: {here: {}, left-wing: {}, right-wing: {}}
"""
HEAD_LINES = HEAD.count("\n")
LOOM = "parts:\n  loom: {joints: {clip: {kind: clip}}}\n"


def found(rest: str) -> list[str]:
    """The faults of a text under `HEAD`; line 1 is the first of those given."""
    said = []
    for one in faults(HEAD + rest):
        line, _, words = one.partition(":")
        said.append(f"{int(line) - HEAD_LINES}:{words}")
    return said


def part(text: str, name: str):
    return machine(HEAD + text).parts[name]


SPLIT = (
    HEAD
    + """\
walks: [[here, <side.stand>, 15 s]]
tools:
  bar-<side>: {label: "Bar, <side>"}
fluids:
  oil-<side>: {drain: {from: <side.stand>, behind: [cover-<side>/bolts]}, with: [head-<side>]}
tasks:
  prop-<side>: {from: <side.stand>, tool: bar-<side>, before: [head-<side>]}
  both: {behind: [cover-<side>], before: [gearbox]}
first: [prop-<side>]
parts:
  cover-<side>: {from: <side.stand>, joints: {bolts: {kind: bolt, head: 8, count: <side.count>}}}
  head-<side>:
    label: Head, <side>
    behind: [cover-<side>]
    wet: oil-<side>
    joints: {bolts-<side>: {kind: bolt, head: 15, crack: [gearbox]}}
    loose: {joints: [bolts-<side>]}
  coil-<side>-<row>: {behind: [cover-<side>],
    joints: {plug: {kind: connector, behind: coil-<side>-<row>/clip-<row>}, clip-<row>: {kind: clip}}}
  bar: {trapped_by: [{any: [{head-<side>: loose}, gearbox]}], behind: {any: coil-<side>-rear},
        joints: {nut: {kind: nut, head: 13, crack: cover-<side>}}, note: ["Mind the <side> one"]}
  gearbox: {behind: [coil-<side>-<row>, {head-<side>: loose}, cover-<side>/bolts,
                     {any: [bar, {head-<side>: off}]}],
            needs: prop-<side>, joints: {bolts: {kind: bolt, head: 17}}}
"""
)
WRITTEN = """\
machine: Engine with two banks
positions: {here: {}, left-wing: {}, right-wing: {}}
walks: [[here, left-wing, 15 s], [here, right-wing, 15 s]]
tools:
  bar-left: {label: "Bar, left"}
  bar-right: {label: "Bar, right"}
fluids:
  oil-left: {drain: {from: left-wing, behind: [cover-left/bolts]}, with: [head-left]}
  oil-right: {drain: {from: right-wing, behind: [cover-right/bolts]}, with: [head-right]}
tasks:
  prop-left: {from: left-wing, tool: bar-left, before: [head-left]}
  prop-right: {from: right-wing, tool: bar-right, before: [head-right]}
  both: {behind: [cover-left, cover-right], before: [gearbox]}
first: [prop-left, prop-right]
parts:
  cover-left: {from: left-wing, joints: {bolts: {kind: bolt, head: 8, count: 3}}}
  cover-right: {from: right-wing, joints: {bolts: {kind: bolt, head: 8, count: 4}}}
  head-left:
    label: Head, left
    behind: [cover-left]
    wet: oil-left
    joints: {bolts-left: {kind: bolt, head: 15, crack: [gearbox]}}
    loose: {joints: [bolts-left]}
  head-right:
    label: Head, right
    behind: [cover-right]
    wet: oil-right
    joints: {bolts-right: {kind: bolt, head: 15, crack: [gearbox]}}
    loose: {joints: [bolts-right]}
  coil-left-front: {behind: [cover-left],
    joints: {plug: {kind: connector, behind: coil-left-front/clip-front}, clip-front: {kind: clip}}}
  coil-left-rear: {behind: [cover-left],
    joints: {plug: {kind: connector, behind: coil-left-rear/clip-rear}, clip-rear: {kind: clip}}}
  coil-right-front: {behind: [cover-right],
    joints: {plug: {kind: connector, behind: coil-right-front/clip-front}, clip-front: {kind: clip}}}
  coil-right-rear: {behind: [cover-right],
    joints: {plug: {kind: connector, behind: coil-right-rear/clip-rear}, clip-rear: {kind: clip}}}
  bar: {trapped_by: [{any: [{head-left: loose}, {head-right: loose}, gearbox]}],
        behind: {any: [coil-left-rear, coil-right-rear]},
        joints: {nut: {kind: nut, head: 13, crack: [cover-left, cover-right]}},
        note: [Mind the left one, Mind the right one]}
  gearbox: {behind: [coil-left-front, coil-left-rear, coil-right-front, coil-right-rear,
                     {head-left: loose}, {head-right: loose}, cover-left/bolts, cover-right/bolts,
                     {any: [bar, {head-left: off}, {head-right: off}]}],
            needs: [prop-left, prop-right], joints: {bolts: {kind: bolt, head: 17}}}
"""


def same_machine(one: Reading, other: Reading) -> bool:
    return unplaced(one.machine) == unplaced(other.machine) and one.machine is not None


def test_it_means_what_its_text_written_out_by_hand_means():
    assert same_machine(read_text(SPLIT, "f.yaml"), read_text(WRITTEN, "f.yaml"))


def test_the_second_reading_writes_it_out_alike():
    load = as_data
    plain = written_out(load(SPLIT.replace("crack: cover-<side>", "crack: [cover-<side>]")))
    by_hand = load(WRITTEN)
    assert plain["parts"]["gearbox"] == by_hand["parts"]["gearbox"]
    assert list(plain["parts"]) == list(by_hand["parts"])
    with pytest.raises(Refused):
        written_out(load(HEAD + "start: <side.stand>\n" + LOOM))


@pytest.mark.parametrize("seed", range(counts(quick=4, landing=10, nightly=2000)))
def test_random_machines_are_what_they_are_written_out(seed):
    text, plain, _ = random_repeated(seed, 2 + seed % 5)
    assert same_machine(read_text(text, "x"), read_text(plain, "x"))


def test_the_example_of_the_guide_has_four_coils_and_asks_for_them_all():
    example = (
        GUIDE.read_text("utf-8").partition("```yaml\nmachine: Engine with two banks")[2].partition("```")[0]
    )
    engine = machine("machine: Engine with two banks" + example)
    coils = [f"coil-{side}-{row}" for side in ("left", "right") for row in ("front", "rear")]
    assert [name for name in engine.parts if name.startswith("coil")] == coils
    assert [str(need) for need in engine.parts["manifold"].under("behind")] == [
        *coils,
        "cover-left or cover-right",
    ]
    assert engine.parts["cover-right"].joints["bolts"].count == 12
    assert engine.tasks["tag-left"].label == "Tag the leads, left"


def test_values_may_be_a_list_one_word_or_have_nothing_under_them():
    for values in ("[left, right]", "{left: , right: {}}", "{left, right}"):
        lid = "  lid-<side>: {joints: {a: {kind: clip}}}\n"
        text = f"machine: M\nrepeat: {{side: {values}}}\nparts:\n{lid}"
        assert list(machine(text).parts) == ["lid-left", "lid-right"]
    assert list(machine(text.replace(values, "left")).parts) == ["lid-left"]


def test_a_value_stays_the_text_that_it_is():
    text = LOOM + "  lid-<n>: {label: <n.x>, joints: {a: {kind: clip}}}\n"
    lids = machine(f"machine: M\nrepeat: {{n: {{010: {{x: on}}, 2: {{x: '~'}}}}}}\n{text}").parts
    assert [(name, lids[name].label) for name in list(lids)[1:]] == [("lid-010", "on"), ("lid-2", "~")]


def test_a_file_without_the_key_may_have_angle_brackets_anywhere():
    text = "machine: <M>\nparts:\n  lid-<side>: {note: 'below <x.y>', joints: {a: {kind: clip}}}\n"
    assert list(machine(text).parts) == ["lid-<side>"]
    assert machine(text).parts["lid-<side>"].notes.way_in == ("below <x.y>",)


BESIDE = """\
  lid-left: {weight: 2 kg, behind: [loom], joints: {b: {kind: bolt, head: 10, torque: {source: plate}}, a: ~}}
  lid-<side>:
    weight: 1 kg
    label: Lid
    behind: [x-left-<row>, {any: [x-<side>-front]}]
    joints:
      a: {kind: clip}
      b: {kind: bolt, head: 8, torque: 9 N.m}
  x-<side>-<row>: {note: all, label: X, joints: {a: {kind: clip}}}
  x-left-<row>: {note: left, from: left-wing}
  x-left-rear: {from: here}
"""


def test_what_is_said_of_one_side_beside_the_text_changes_that_side_alone():
    plain = """\
  lid-left: {weight: 2 kg, label: Lid, behind: [loom],
             joints: {b: {kind: bolt, head: 10, torque: {value: 9 N.m, source: plate}}}}
  lid-right: {weight: 1 kg, label: Lid, behind: [x-left-front, x-left-rear, {any: [x-right-front]}],
              joints: {a: {kind: clip}, b: {kind: bolt, head: 8, torque: 9 N.m}}}
  x-left-front: {note: left, label: X, from: left-wing, joints: {a: {kind: clip}}}
  x-left-rear: {note: left, label: X, from: here, joints: {a: {kind: clip}}}
  x-right-front: {note: all, label: X, joints: {a: {kind: clip}}}
  x-right-rear: {note: all, label: X, joints: {a: {kind: clip}}}
"""
    split, joined = (read_text(HEAD + LOOM + text, "f.yaml") for text in (BESIDE, plain))
    assert same_machine(split, joined)
    assert list(split.machine.parts) == list(joined.machine.parts)
    again = as_data(HEAD + LOOM + BESIDE)
    assert written_out(again)["parts"] == as_data(HEAD + LOOM + plain)["parts"]


def test_a_fault_of_what_is_said_of_one_side_is_told_at_its_own_line():
    text = BESIDE.replace("weight: 2 kg", "weight: 2 gk").replace("head: 10", "head: 10, cnt: 2")
    assert [one.partition(";")[0] for one in found(LOOM + text)] == [
        "3:22: 'gk' is not a unit of weight",
        "3:79: `cnt` is not a key of a joint",
    ]


def test_what_only_looks_like_a_mark_may_stand_in_a_text():
    assert part(LOOM.replace("{j", "{note: 'at <5 N.m and > 2, a < b > c', j"), "loom").notes.way_in == (
        "at <5 N.m and > 2, a < b > c",
    )


def test_an_entry_that_comes_out_the_same_for_several_is_taken_once():
    text = HEAD.replace("right-wing, count", "left-wing, count")
    lid = "  lid: {needs: [<side.stand>], joints: {a: {kind: clip}}}\n"
    engine = machine(f"{text}tasks: {{left-wing: {{}}}}\n{LOOM}{lid}")
    assert engine.parts["lid"].needs == ("left-wing",)


def test_nothing_under_the_key_is_said_and_changes_nothing():
    assert faults(f"machine: M\nrepeat:\n{LOOM}") == [
        "2:1: warning: `repeat` has nothing after it; fill it in, or take it out"
    ]


# ---- What is refused ----


@pytest.mark.parametrize(
    ("repeat", "fault"),
    [
        ("[side]", "2:9: `repeat` wants marks with a colon, and this is a list; write side: [left, right]"),
        ("side", "2:9: `repeat` wants marks with a colon, and this is the text 'side'; write"),
        ("{side: }", "2:10: `side` has no values, and this is nothing; write side: [left, right]"),
        ("{side: []}", "2:10: `side` has no values, and this is a list; write side: [left, right]"),
        ("{side: [left, left]}", "2:23: `left` is in this list twice; take one out"),
        ("{side: [left, [x]]}", "2:23: a value is a word, and this is a list; write side: [left, right]"),
        ("{side: [left, ~]}", "2:23: a value is a word, and this is nothing; write side: [left, right]"),
        ("{side: [a/b]}", "2:17: `a/b` can't be a value; values are words without / and =, and without"),
        ("{side: ['']}", "2:17: a value is missing; values are words"),
        (
            "{side: {left: x}}",
            "2:23: a value's own entries have a colon, and this is the text 'x'; write left",
        ),
        ("{side: {left: {at: [x]}}}", "2:28: an entry is one text, and this is a list; write one text, or"),
        ("{side: {left: {at: }}}", "2:27: an entry is one text, and this is nothing; write one text, or"),
        (
            "{side: {left: {a.b: x}}}",
            "2:24: an entry can't be called `a.b`; write one word, without < > . / and =",
        ),
        ("{a b: [left]}", "2:10: a mark can't be called `a b`; write one word, without < > . / and ="),
        ("{<side>: [left]}", "2:10: a mark can't be called `<side>`; write one word"),
        ("{side: [x-<side>]}", "2:17: `<side>` can't stand in `repeat` itself; write it out"),
        ("{side: {a: {at: <row>}}}", "2:25: `<row>` can't stand in `repeat` itself; write it out"),
    ],
)
def test_what_is_wrong_with_the_key_itself_is_said_alone(repeat, fault):
    said = faults(f"machine: M\nrepeat: {repeat}\nparts:\n  lid-<side>: {{behind: [none]}}\n")
    assert len(said) == 1
    assert said[0].startswith(fault), said[0]


NO_VALUE = (
    "has no value here; a mark has a value in what has it in its name, and in lists; "
    "anywhere else write out what is meant"
)


@before_landing
@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("start: <side.stand>\n" + LOOM, f"1:8: `<side>` {NO_VALUE}"),
        ("about: The <side> one\n" + LOOM, f"1:8: `<side>` {NO_VALUE}"),
        (LOOM + "  lid: {from: <side.stand>, joints: {a: {kind: clip}}}\n", f"3:15: `<side>` {NO_VALUE}"),
        (LOOM + "  lid: {note: The <side> one, joints: {a: {kind: clip}}}\n", f"3:15: `<side>` {NO_VALUE}"),
        (LOOM + "  lid: {joints: {a-<side>: {kind: clip}}}\n", f"3:18: `<side>` {NO_VALUE}"),
        (LOOM + "  lid-<side>: {joints: {a-<row>: {kind: clip}}}\n", f"3:25: `<row>` {NO_VALUE}"),
        (LOOM + "  lid-<side>: {from: <row>, joints: {a: {kind: clip}}}\n", f"3:22: `<row>` {NO_VALUE}"),
        (
            LOOM + "  lid-<sid>: {joints: {a: {kind: clip}}}\n",
            "3:3: `repeat` has no mark `<sid>`; did you mean `side`?",
        ),
        (
            LOOM + "  lid: {behind: [x-<sid>], joints: {a: {kind: clip}}}\n",
            "3:18: `repeat` has no mark `<sid>`; did",
        ),
        (
            LOOM + "  lid: {note: see <b>, joints: {a: {kind: clip}}}\n",
            "3:15: `repeat` has no mark `<b>`; known here",
        ),
        (
            LOOM + "  lid-<side>: {joints: {a: {kind: clip}}}\n  <row>-left: {joints: {a: {kind: clip}}}\n"
            "  lid-<row>: {joints: {a: {kind: clip}}}\n  front-<side>: {joints: {a: {kind: clip}}}\n",
            "6:3: `front-left` is here a second time; the first is in line 9 (side left); give one of them",
        ),
        (
            LOOM + "  lid-<side>: {joints: {a-left: {kind: clip}, a-<side>: {kind: clip}}}\n",
            "3:47: `a-left` is here a second time; the first is in line 8 (side left); give one of them",
        ),
        (
            LOOM + "  lid-<row>: {label: <row.stand>, joints: {a: {kind: clip}}}\n",
            "3:22: `front` has no entry `stand` under `repeat` (row front); write front: {stand: ...} there",
        ),
    ],
)
def test_a_mark_where_it_means_nothing_is_refused_at_its_line(text, fault):
    said = found(text)
    assert said
    assert said[0].startswith(fault), said


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("lid-<side>: {from: <side>-wng, joints: {a: {kind: clip}}}",
         ["3:22: there is no position `left-wng` (side left); did you mean `left-wing`?",
          "3:22: there is no position `right-wng` (side right); did you mean `right-wing`?"]),
        ("lid-<side>: {weight: <side.count> gk, joints: {a: {kind: clip}}}",
         ["3:24: 'gk' is not a unit of weight (side left)", "gk' is not a unit of weight (side right)"]),
        ("lid-<side>: {joints: {a: {kind: clip, hed: 3}}}",
         ["3:41: `hed` is not a key of a joint (side left); did you mean `head`?",
          "3:41: `hed` is not a key of a joint (side right); did you mean `head`?"]),
        ("lid-<side>-<row>: {behind: [lid-<side>-<row>], joints: {a: {kind: clip}}}",
         ["3:31: `lid-left-front` is behind itself (side left, row front); name what is really in the way"]),
        ("lid: {behind: [cover-<side>, cover-<side>], joints: {a: {kind: clip}}}",
         ["3:18: there is no part `cover-left` (side left); ",
          "3:18: there is no part `cover-right` (side right); "]),
        ("lid-<side>: {joints: {a: {kind: bolt}}}",
         ["3:25: warning: nothing tells its tool, so it is undone by hand (side left); write head: 13"]),
        ("lid-<side>: {joints: {a: {kind: bolt, head: 8, thread: M6, class: 8.8, torque: 90 N.m}}}",
         ["(side left)", "(side right)"]),
    ],
)  # fmt: skip
def test_a_message_of_any_check_names_the_line_of_the_text_and_the_value(lines, said):
    messages = found(f"{LOOM}  {lines}\n")
    assert len(messages) >= len(said)
    for message, wanted in zip(messages, said, strict=False):
        assert wanted in message, messages


def test_a_file_is_named_with_the_line(tmp_path):
    path = tmp_path / "engine.yaml"
    path.write_text(
        f"{HEAD}{LOOM}  lid-<side>: {{from: <row>, joints: {{a: {{kind: clip}}}}}}\n", encoding="utf-8"
    )
    assert str(read(path).faults[0]).startswith(f"{path}:{HEAD_LINES + 3}:22: `<row>` has no value here")


@before_landing
def test_few_lines_that_stand_for_very_many_are_refused_soon(monkeypatch):
    monkeypatch.setattr(repeat, "MOST_NODES", 3_000)
    many = ", ".join(f"m{n}: [{', '.join(map(str, range(30)))}]" for n in range(12))
    name = "-".join(f"<m{n}>" for n in range(12))
    long = "x" * 100_000
    for marks, lid in (
        (f"{{{many}}}", f"  lid-{name}: {{joints: {{a: {{kind: clip}}}}}}\n"),
        (f"{{{many}}}", f"  lid: {{behind: [{name}], joints: {{a: {{kind: clip}}}}}}\n"),
        (f"{{n: {{a: {{x: {long}}}}}}}", f"  lid-<n>: {{note: '{'<n.x>' * 10_000}'}}\n"),
    ):
        (said,) = faults(f"machine: M\nrepeat: {marks}\n{LOOM}{lid}")
        assert said == (
            "2:1: written out, the file has more than 3,000 entries, or is far too long; "
            "repeat less, or for fewer values"
        )
