"""Two machine files held against each other: what differs is told once, in groups, and nothing else is."""

import json
import random
from dataclasses import fields, replace

import pytest
from ruamel.yaml import YAML

import sequencer as seq
from sequencer.document.comparing.differences import differences
from sequencer.document.comparing.facts import GROUPS, NOT_COMPARED
from sequencer.machine import load, read_text
from sequencer.machine.expand import expanded
from sequencer.machine.library import folder
from tests.cli.conftest import sequencer  # noqa: F401 - a fixture
from tests.support.profile import counts

ALL = """\
machine: All
positions: {bench: {}, under: {}}
fluids: {wet: {}}
tasks: {t: {}}
parts:
  other: {joints: {j: {kind: clip}}}
  x:
    label: X
    subsystem: sub
    weight: 3 kg
    time: 9 s
    loose: [j]
    aside: [j]
    tie: to the wing
    hold: true
    prepare: [a]
    rides: {on: other, with: [j]}
    wet: [wet]
    needs: [t]
    renew: Gasket
    sealant: rtv
    box: {at: [0, 0, 0], size: [9, 9, 9]}
    out: +z
    condition: {rust: heavy}
    joints:
      j: {kind: bolt, head: 99, thread: M12, length: 7 mm, class: 8.8, torque: 1 N.m, friction: moly, face: f,
          engaged_in: brass, engagement: 9 mm, at: [[1, 1]], tolerance: 7 %, sealant: rtv, wet: [wet],
          needs: [t], time: 7 s, crack: {while: [other]}, fit: {tool: hand, time: 1 min}, settle: true}
"""

ONE = """\
machine: Pump, neighbour's
positions: {bench: {label: At the bench}, under: {enter: 5 s}}
tools: {bar: {drive: none}}
fluids: {oil: {volume: 1 L, drain: {from: under}}}
tasks: {prop: {from: under, before: [motor]}}
parts:
  guard: {joints: {screws: {kind: screw, head: T25, count: 6, each: 8 s}}}
  motor:
    behind: [guard]
    weight: 14 kg
    joints: {feet: {kind: nut, head: 13, count: 4, thread: M8, class: 8.8, torque: 24 N.m}}
  shield: {label: Heat shield, joints: {nut: {kind: nut, head: 10}}}
"""
OTHER = """\
machine: Pump, mine
tasks: {prop: {from: bench, before: [motor]}}
tools: {bar: {drive: none}}
fluids: {oil: {volume: 1.2 L, drain: {from: under}}}
positions: {bench: {label: At the bench}, under: {enter: 5 s}}
parts:
  motor:   # mine has a belt over it
    behind: [belt]
    weight: 14 kg
    joints: {feet: {kind: nut, head: 15, count: 2, thread: M8, class: 8.8, torque: 20 N.m}}
  heat-shield: {label: Heat shield, joints: {nut: {kind: nut, head: 10}}}
  belt: {joints: {idler: {kind: tensioner, tool: bar}}}
  guard: {joints: {screws: {kind: screw, head: T25, count: 6, each: 8 s}}}
"""


def told(one, other):
    return [
        (each.group, each.about, each.what, each.one and each.one.said, each.other and each.other.said)
        for each in differences(one, other)
    ]


def test_what_differs_is_told_in_the_order_of_its_weight():
    assert told(read_text(ONE).machine, read_text(OTHER).machine) == [
        ("parts", "belt", "", None, ""),
        ("way", "motor", "behind guard", "", None),
        ("way", "motor", "behind belt", None, ""),
        ("fasteners", "motor/feet", "count", "4", "2"),
        ("heads", "motor/feet", "tool", "13 mm socket", "15 mm socket"),
        ("heads", "motor/feet", "head", "13", "15"),
        ("places", "task prop", "from", "under", "At the bench"),
        ("torques", "motor/feet", "torque", "24 N.m", "20 N.m"),
        ("fluids", "fluid oil", "volume", "1 L", "1.2 L"),
        ("words", "shield", "name", "shield", "heat-shield"),
    ]


def shuffled(raw, rng):
    """The same in another order, but for positions, of which the first is the default, and walks."""
    if not isinstance(raw, dict):
        return raw
    entries = [
        (key, one if key in ("positions", "stages") else shuffled(one, rng)) for key, one in raw.items()
    ]
    rng.shuffle(entries)
    return dict(entries)


SHIPPED = sorted(folder().glob("*.yaml"))[: counts(quick=2, landing=50, nightly=99)]


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_order_and_comments_and_what_is_written_once_make_no_difference(path, tmp_path):
    raw = YAML(typ="safe").load(expanded(path).text)
    with (tmp_path / "other.yaml").open("w", encoding="utf-8") as file:
        YAML().dump(shuffled(raw, random.Random(7)), file)
    assert told(load(path), load(tmp_path / "other.yaml")) == []


PART = read_text(ALL).machine.parts["x"]
JOINT = PART.joints["j"]


@pytest.mark.parametrize(
    ("of", "name"),
    [
        (of, one.name)
        for of in (PART, JOINT)
        for one in fields(of)
        if one.name not in NOT_COMPARED and getattr(of, one.name) != one.default
    ],
    ids=lambda one: one if isinstance(one, str) else type(one).__name__,
)
def test_every_field_counts_and_a_swap_tells_the_same_the_other_way_round(of, name):
    """A field that is new in the model is compared without being named anywhere."""
    machine = read_text(ALL).machine
    default = next(one.default for one in fields(of) if one.name == name)
    other_value = {"position": "under", "tool": "hand", "kind": "nut", "seconds": of.seconds + 1}.get(
        name, default
    )
    if name == "boxes":
        other_value = ()
    changed = replace(of, **{name: other_value})
    new = changed if of is PART else replace(PART, joints={"j": changed})
    other = replace(machine, parts={**machine.parts, "x": new})
    found = told(machine, other)
    assert found
    assert {about.partition("/")[0] for _, about, *_ in found} == {"x"}
    back = [(*each[:3], each[4], each[3]) for each in told(other, machine)]
    assert sorted(map(repr, back)) == sorted(map(repr, found))


def test_the_command_ends_as_diff_does_and_names_both_lines(sequencer, tmp_path):  # noqa: F811
    for name, text in (("one", ONE), ("other", OTHER)):
        (tmp_path / f"{name}.yaml").write_text(text, "utf-8")
    one, other = tmp_path / "one.yaml", tmp_path / "other.yaml"
    same = sequencer("compare", one, one)
    assert (same.code, same.out.splitlines()[-1]) == (0, "Both say the same of the machine.")
    found = sequencer("compare", one, other)
    assert found.code == 1
    heads = [line for line in found.out.splitlines() if line in GROUPS.values()]
    named = ["parts", "way", "fasteners", "heads", "places", "torques", "fluids", "words"]
    assert heads == [GROUPS[one] for one in named]
    assert "Motor: feet: count: 4 (one.yaml:11) | 2 (other.yaml:10)" in found.out
    assert "Belt: only in other.yaml:12" in found.out
    data = json.loads(sequencer("compare", one, other, "--json").out)
    assert data["differences"][0]["other"] == {"said": "", "file": str(other), "line": 12}
    assert sequencer("compare", one, tmp_path / "none.yaml").code == 2


def test_a_script_asks_the_same(tmp_path):
    (tmp_path / "one.yaml").write_text(ONE, "utf-8")
    machine = seq.read_machine(tmp_path / "one.yaml")
    assert seq.compare_machines(machine, read_text(OTHER).machine) == differences(
        machine, read_text(OTHER).machine
    )
    with pytest.raises(TypeError):
        seq.compare_machines(machine, "other.yaml")
