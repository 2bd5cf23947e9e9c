"""What a machine file includes: the same as its text written out by the page, and by `expand`."""

import pytest

from sequencer.machine import load, read, read_text
from sequencer.machine.assembly.references import REFERENCES
from sequencer.machine.expand import expanded
from sequencer.machine.schema.entries import MachineEntry
from sequencer.machine.schema.entry import inner, is_entry, narrow
from sequencer.machine.schema.fields import Names, Needs, Paths
from tests.machine.test_edit import unplaced
from tests.support.profile import before_landing, counts
from tests.support.random_includes import random_included


def told(fault):
    """A fault without its column, so that a line of these tests can be moved about."""
    return f"{fault.place}: {fault.told}; {fault.remedy}"


def said(reading):
    return [told(fault) for fault in reading.faults if fault.severity == "error"]


@pytest.fixture
def at(tmp_path):
    """Put files in a folder; returns the path of the machine file."""

    def put(**files):
        for name, text in files.items():
            path = tmp_path / f"{name.replace('__', '/')}.yaml"
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, "utf-8")
        return tmp_path / "machine.yaml"

    return put


@pytest.mark.parametrize("seed", range(counts(quick=3, landing=8, nightly=3000)))
def test_random_machines_are_what_they_come_to(seed, tmp_path):
    files, plain, _ = random_included(seed)
    for name, text in files.items():
        (tmp_path / name).write_text(text, "utf-8")
    reading, by_hand = read(tmp_path / "machine.yaml", "x"), read_text(plain, "x")
    assert (reading.machine is None) == (by_hand.machine is None), [said(reading), said(by_hand)]
    if reading.machine is not None:
        assert unplaced(reading.machine) == unplaced(by_hand.machine)
        assert list(reading.machine.parts) == list(by_hand.machine.parts)
        written = read_text(expanded(tmp_path / "machine.yaml").text, "x")
        assert unplaced(written.machine) == unplaced(reading.machine)


WHEEL = """\
assembly: Wheel end, invented
version: 2
changes: {2: the hose has a clip}
parameters:
  bolts: {is: count, default: 5, range: 3 to 8}
  raised: {is: task, about: the corner on stands}
  way: {is: needs, default: none}
  grip: {is: torque, default: 110 N.m, range: 80 to 160 N.m}
  fluid: {is: fluid, default: none}
repeat: {pad: [inner, outer]}
positions: {wheel: {label: At the wheel}, under: {}}
tools: {piston: {label: Piston tool, drive: none}}
tasks: {push: {label: Push the piston back, tool: piston, before: [caliper]}}
parts:
  wheel:
    label: Road wheel
    needs: [<raised>]
    joints: {bolts: {kind: bolt, head: 19, count: <bolts>, torque: {value: <grip>, when: [<raised>]}}}
  sensor: {behind: [wheel], joints: {bolt: {kind: bolt, head: allen 5}, plug: {kind: connector, from: under}}}
  caliper:
    behind: [wheel, sensor/plug, <way>]
    wet: <fluid>
    joints: {pins: {kind: bolt, head: 13, count: 2, face: carrier, crack: {while: [sensor]}}}
  <pad>-pad: {behind: [caliper], joints: {clip: {kind: clip}}}
  disc: {behind: [<pad>-pad, {any: [caliper, {sensor: off}]}], joints: {screw: {kind: screw, head: T30}}}
  hub: {rides: {on: disc, with: [clip]}, joints: {clip: {kind: clip}, nut: {kind: nut, head: 30}}}
"""
CAR = """\
machine: Car, invented
include: [{assembly: wheel.yaml, as: rf, where: right front, at: arch, with: {raised: raise}}]
positions: {here: , arch: }
tasks: {raise: {undo: {}}}
parts:
  shaft: {behind: [rf-hub], joints: {nut: {kind: nut, head: 30}}}
"""
ONE = "{assembly: wheel.yaml, as: rf, where: right front, at: arch, with: {raised: raise}}"


def test_names_get_the_prefix_labels_the_place_and_positions_are_the_machines(at):
    car = load(at(machine=CAR, wheel=WHEEL))
    assert list(car.parts) == ["shaft", *(f"rf-{one}" for one in PARTS)]
    assert list(car.positions) == ["here", "arch", "rf-under"]
    wheel = car.parts["rf-wheel"]
    assert (wheel.label, wheel.position, wheel.needs) == ("Road wheel, right front", "arch", ("raise",))
    assert wheel.joints["bolts"].torque.when == (("tasks", "raise"),)
    assert car.parts["rf-sensor"].joints["plug"].position == "rf-under"
    assert car.tasks["rf-push"].tool == "piston"
    assert car.parts["rf-caliper"].joints["pins"].face == "rf-carrier"
    assert [str(need) for need in car.parts["rf-disc"].under("behind")][:2] == [
        "rf-inner-pad",
        "rf-outer-pad",
    ]
    assert car.parts["rf-wheel"].place.file.endswith("wheel.yaml")


PARTS = ("wheel", "sensor", "caliper", "inner-pad", "outer-pad", "disc", "hub")


def test_what_the_file_says_of_a_part_is_laid_over_it_wherever_it_stands(at):
    own = "  rf-wheel: {weight: 20 kg, joints: {bolts: {head: 21, torque: {source: the plate}}}}\n"
    car = load(at(machine=CAR + own, wheel=WHEEL))
    bolts = car.parts["rf-wheel"].joints["bolts"]
    assert (car.parts["rf-wheel"].weight_kg, bolts.head, bolts.count) == (20, "21", 5)
    assert (bolts.torque.source, bolts.torque.stages[0].text) == ("the plate", "110 N.m")
    assert list(car.parts)[1] == "rf-wheel"


def test_what_the_machine_does_not_have_is_in_nobodys_way(at):
    one = ONE.replace("with", "without: [sensor], with")
    car = load(at(machine=CAR.replace(ONE, one), wheel=WHEEL))
    assert "rf-sensor" not in car.parts
    assert [str(need) for need in car.parts["rf-caliper"].under("behind")] == ["rf-wheel"]
    assert len(car.parts["rf-disc"].under("behind")) == 2  # one of several is clear, and that will do
    assert car.parts["rf-caliper"].joints["pins"].crack is None


def test_repeat_in_the_machine_includes_for_each_side_and_ties_both_ways(at):
    text = """\
machine: Car, invented
repeat: {side: {left: {spot: arch-left}, right: {spot: arch-right}}}
include: [{assembly: wheel.yaml, as: <side>, at: <side.spot>, with: {raised: raise, way: [liner-<side>]}}]
positions: {here: , arch-left: , arch-right: }
tasks: {raise: {undo: {}}}
parts:
  liner-<side>: {joints: {clip: {kind: clip}}}
  rack: {behind: [<side>-hub], joints: {nut: {kind: nut, head: 30}}}
  <side>-wheel: {weight: 18 kg}
  left-wheel: {weight: 20 kg}
"""
    car = load(at(machine=text, wheel=WHEEL))
    assert [car.parts[f"{side}-wheel"].weight_kg for side in ("left", "right")] == [20, 18]
    assert "liner-right" in [str(need) for need in car.parts["right-caliper"].under("behind")]
    assert [str(need) for need in car.parts["rack"].under("behind")] == ["left-hub", "right-hub"]
    assert car.parts["right-hub"].position == "arch-right"


def test_an_assembly_includes_one_from_a_folder_below_it_and_hands_names_on(at):
    axle = """\
assembly: Axle
parameters: {raised: task, spot: {is: position, default: none}}
include: [{assembly: deep/wheel.yaml, as: near, at: side, with: {raised: <raised>}},
          {assembly: deep/wheel.yaml, as: far, at: <spot>, with: {raised: chock}}]
positions: {side: }
tasks: {chock: {undo: {}}}
parts: {beam: {behind: [near-hub, far-hub], joints: {a: {kind: clip}}}}
"""
    text = CAR.replace(ONE, "{assembly: axle.yaml, as: back, at: here, with: {raised: raise, spot: arch}}")
    car = load(at(machine=text.replace("rf-hub", "back-near-hub"), axle=axle, deep__wheel=WHEEL))
    assert [car.parts[f"back-{one}-wheel"].needs for one in ("near", "far")] == [("raise",), ("back-chock",)]
    assert [car.parts[f"back-{one}-wheel"].position for one in ("near", "far")] == ["here", "arch"]
    assert car.parts["back-beam"].position == "here"
    assert [str(need) for need in car.parts["back-beam"].under("behind")] == ["back-near-hub", "back-far-hub"]


# ---- What is refused, and where ----

BAD_ITEMS = [
    ("wheel", "2: the library has no assembly `wheel`; for the file beside this one write wheel.yaml"),
    ("whel.yaml", "2: there is no file `whel.yaml` here; did you mean `wheel.yaml`?"),
    (
        "../wheel.yaml",
        "2: `../wheel.yaml` leads out of the machine file's folder; put the assembly beside",
    ),
    ("/etc/hosts.yaml", "2: `/etc/hosts.yaml` leads out of the machine file's folder; put"),
    ("C:wheel.yaml", "2: `C:wheel.yaml` leads out of the machine file's folder; put the assembly"),
    (
        "link.yaml",
        "2: `link.yaml` is a link out of the machine file's folder; put the assembly itself there",
    ),
    ("machine.yaml", "2: `machine.yaml` is no assembly: it does not say `assembly:` and its name; name a"),
    (
        "wheel.yaml, version: 3",
        "2: this was made with version 3 of `wheel.yaml`, and here is version 2; b",
    ),
    ("wheel.yaml, vers: 3", "2: `vers` is not a key of an include; did you mean `version`?"),
    (
        "wheel.yaml, without: [sensr]",
        "2: `wheel.yaml` has no `sensr` to leave out; did you mean `sensor`?",
    ),
    ("wheel.yaml, without: [hub/x]", "2: `wheel.yaml` has no `hub/x` to leave out; did you mean `hub/nut`?"),
    ("wheel.yaml, tools: {pistn: 13}", "2: `wheel.yaml` has no tool `pistn`; did you mean `piston`?"),
]


@pytest.mark.parametrize(("written", "fault"), BAD_ITEMS)
def test_a_bad_include_is_one_clear_message(at, tmp_path, written, fault):
    path = at(machine=CAR.replace("assembly: wheel.yaml", f"assembly: {written}"), wheel=WHEEL)
    (tmp_path / "link.yaml").symlink_to("/etc/hostname")
    (only,) = said(read(path, "f.yaml"))
    assert only.startswith(f"f.yaml:{fault}"), only


@pytest.mark.parametrize(
    ("given", "fault"),
    [
        (
            "{}",
            "2: nothing is given for `raised`, a task of the machine: the corner on stands; write with: {",
        ),
        ("{raised: raise, bolt: 4}", "2: there is no parameter `bolt`; did you mean `bolts`?"),
        (
            "{raised: raise, bolts: five}",
            "2: `bolts` is a count: 'five' is not a count; write bolts: 5",
        ),
        ("{raised: raise, bolts: [5]}", "2: `bolts` is a count, and this is a list; write bolts: 5"),
        (
            "{raised: raise, bolts: 12}",
            "2: `bolts` is 3 to 8, and this is 12; where this machine really has",
        ),
        ("{raised: raise, grip: 10 lbf.ft}", "2: `grip` is 80 to 160 N.m, and this is 10 lbf.ft; where"),
        ("{raised: raise, grip: 110}", "2: `grip` is a torque: 110 has no unit; a torque needs one"),
        (
            "{raised: {a: b}}",
            "2: `raised` is a task of the machine, and this is a mapping; write raised: raise",
        ),
        ("{raised: rais}", "2: there is no task `rais`; did you mean `raise`?"),
        (
            "{raised: raise, way: [{a: b, c: d}]}",
            "2: one entry asks for two things (included as rf in f.yaml:2); write one entry each",
        ),
    ],
)
def test_a_bad_value_is_told_where_it_is_given(at, given, fault):
    path = at(machine=CAR.replace("{raised: raise}}", f"{given}}}"), wheel=WHEEL)
    found = said(read(path, "f.yaml"))
    assert found[0].startswith(f"f.yaml:{fault}"), found


@before_landing
def test_a_fault_of_the_assembly_names_its_own_line_and_who_includes_it(at):
    path = at(machine=CAR, wheel=WHEEL.replace("behind: [caliper]", "behind: [calipr], weight: 2 gk"))
    found = said(read(path, "dir/f.yaml"))
    whose = "(pad inner, included as rf in dir/f.yaml:2)"
    assert found[0] == (
        f"dir/wheel.yaml:24: there is no part `rf-calipr` {whose}; did you mean `rf-caliper`?"
    )
    assert any(one.startswith(f"dir/wheel.yaml:24: 'gk' is not a unit of weight {whose}") for one in found)


@pytest.mark.parametrize(
    ("former", "now", "fault"),
    [
        ("tools:", "pace: {}\ntools:", "12: `pace` is not a key of an assembly; an assembly has assembly,"),
        (
            "count: <bolts>",
            "count: <blts>",
            "18: neither `parameters` nor `repeat` has a mark `<blts>`; did",
        ),
        (
            "range: 3 to 8",
            "range: 8 to 3",
            "5: this is not a range for count; write range: 3 to 8, the smaller",
        ),
        ("default: 5", "default: x", "5: `bolts` is a count: 'x' is not a count; write bolts: 5"),
        ("is: count", "is: cont", "5: `bolts` does not say what it is; write is: with one of count, time"),
        ("range: 3 to 8", "rnge: 3", "5: `rnge` is not a key of a parameter; did you mean `range`?"),
        ("version: 2", "version: b", "2: the version is not a whole number; write version: 1"),
        (
            "  wheel:\n",
            "  wheel\n",
            "16: a colon where none can be; put a text with a colon in quotes, or line",
        ),
    ],
)
def test_what_is_wrong_in_an_assembly_is_told_at_its_line(at, former, now, fault):
    found = said(read(at(machine=CAR, wheel=WHEEL.replace(former, now)), "f.yaml"))
    assert found[0].startswith(f"wheel.yaml:{fault}"), found


def test_what_is_left_out_and_still_needed_is_said_with_where_it_was_left_out(at):
    ending = "leave it in there, or say here what is meant without it"
    one = ONE.replace("with", "without: [disc], with")
    (found,) = said(read(at(machine=CAR.replace(ONE, one), wheel=WHEEL), "f.yaml"))
    out = "is needed here, and is left out by `without` in f.yaml:2"
    assert found == f"wheel.yaml:26: `rf-disc` {out} (included as rf in f.yaml:2); {ending}"
    one = ONE.replace("with", "without: [hub], with")
    (found,) = said(read(at(machine=CAR.replace(ONE, one)), "f.yaml"))
    assert found == f"f.yaml:6: `rf-hub` {out}; {ending}"


def test_a_circle_of_includes_is_told_by_its_files(at):
    ring = "assembly: A\ninclude: [{{assembly: {}.yaml, as: x}}]\nparts: {{}}\n"
    text = CAR.replace(ONE, "{assembly: a.yaml, as: rf}")
    found = said(read(at(machine=text, a=ring.format("b"), b=ring.format("a")), "f.yaml"))
    assert found == [
        "b.yaml:2: this assembly includes itself: a.yaml → b.yaml → a.yaml; take one of them out"
    ]


def test_two_includes_do_not_bring_the_same_name(at):
    found = said(read(at(machine=CAR.replace(ONE, f"{ONE}, {ONE}"), wheel=WHEEL), "f.yaml"))
    assert len(set(found)) == 1
    assert found[0].startswith("f.yaml:2: `rf` is taken by the include in line 2; give one of them another")


@before_landing
def test_more_than_any_machine_has_is_refused_soon(at):
    many = "".join(f"  - {{assembly: {{}}.yaml, as: a{n}}}\n" for n in range(30))
    chain = {
        f"c{n}": f"assembly: A\ninclude:\n{many.replace('{}', f'c{n + 1}')}parts: {{}}\n" for n in range(6)
    }
    text = CAR.replace(ONE, "{assembly: c0.yaml, as: rf}")
    found = said(read(at(machine=text, **chain, c6="assembly: A\nparts: {}\n"), "f.yaml"))
    assert len(found) == 1
    assert "what is included comes to more than 500 assemblies or 60,000 entries; include less" in found[0]


def test_an_older_version_and_a_slip_of_the_name_are_warned_of(at):
    text = CAR.replace("as: rf", "version: 1, as: rf") + "  rf-whel: {weight: 2 kg}\n"
    older, slip, *_ = (told(one) for one in read(at(machine=text, wheel=WHEEL), "f.yaml").faults)
    changed = "and here is version 2 (2: the hose has a clip)"
    assert older == (
        f"f.yaml:2: this was made with version 1 of `wheel.yaml`, {changed}; "
        "look whether it still fits, then write version: 2"
    )
    assert slip == (
        "f.yaml:7: `rf-whel` is a part of its own here: the include brings none of that name; "
        "did you mean `rf-wheel`?"
    )


def test_a_text_without_a_file_includes_only_what_ships(at):
    (only,) = said(read_text(CAR, "f.yaml"))
    assert only.startswith("f.yaml:2: `wheel.yaml` is a file, and this text lies beside none; include one of")


NO_NAMES = {
    "unsure",
    "caution",
    "note",
    "stages",
    "order",
    "prepare",
    "seen",
    "out",
    "again",
    "also",
    "head",
    "count",
}


def unknown_to_the_prefix(shape, table, keys=()):
    """The keys of an entry that hold names of things and are not in ``table``."""
    naming = {repr(narrow(one)) for one in (Names, Needs, Paths)}
    for key, annotation in shape.keys().items():
        below, here = narrow(annotation), (*keys, key)
        if is_entry(below):
            yield from unknown_to_the_prefix(below, table, here)
        elif repr(below).startswith("dict") and is_entry(inner(below)):
            yield from unknown_to_the_prefix(inner(below), table, (*here, "*"))
        elif (repr(below) in naming or key in ("from", "tool", "on")) and not NO_NAMES & {*here}:
            yield from () if here in table else [here]


def test_an_assembly_read_as_a_machine_is_told_as_what_it_is():
    (only,) = said(read_text(WHEEL, "parts/wheel.yaml"))
    assert only == (
        "parts/wheel.yaml:1: this is an assembly, which machines include, and no machine by itself; "
        "write in a machine file beside it: include: [{assembly: wheel.yaml, as: x}]"
    )


def test_every_key_that_names_something_is_known_to_the_prefix():
    shape = MachineEntry.keys()
    for section, table in REFERENCES.items():
        entry = inner(narrow(shape[section]))
        assert list(unknown_to_the_prefix(entry, table)) == []
        assert len(list(unknown_to_the_prefix(entry, {}))) >= {"tools": 0, "positions": 2}.get(section, 7)
