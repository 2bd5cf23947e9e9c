"""What a file says of the type that it was made from, and of what varies in real ones."""

from fractions import Fraction

import pytest

from sequencer.machine import read_text
from sequencer.machine.facts.of_type import NO_TYPE, NO_WORD, FromType, Varies

TYPE = """\
machine: Bench saw, invented
positions: {front: , under: }
parts:
  guard: {VARIES joints: {screws: {kind: screw, head: T25, count: 6 JOINT}}}
  belt: {behind: [guard], joints: {idler: {kind: tensioner, head: 13}}}
"""


def read(varies="", joint="", after=""):
    text = TYPE.replace("VARIES", f"varies: {varies}," if varies else "")
    return read_text(text.replace(" JOINT", f", varies: {joint}" if joint else "") + after)


def test_what_varies_is_read():
    parts = read(
        "{missing: 1 in 4, from: under, also: [Heat shield], chance: 2 in 10}",
        "{head: [T30, 8], count: 4, chance: 1 in 3}",
    ).machine.parts
    assert parts["guard"].varies == Varies(
        Fraction(1, 4), Fraction(1, 5), places=("under",), also=("Heat shield",)
    )
    assert parts["guard"].joints["screws"].varies == Varies(None, Fraction(1, 3), ("T30", "8"), (4,))
    assert parts["belt"].varies == NO_WORD


def test_what_nobody_confirmed_is_read_and_means_nothing_for_the_rest():
    machine = read(
        after="from_type: {machine: bench-saw, version: ab12, unsure: [guard, guard/screws]}\n"
    ).machine
    assert machine.from_type == FromType("bench-saw", "ab12", frozenset({"guard", "guard/screws"}))
    assert read().machine.from_type == NO_TYPE


@pytest.mark.parametrize(
    ("varies", "joint", "fault"),
    [
        ("{missing: 0.3}", "", "'0.3' is no chance; write how many of how many: 1 in 4"),
        ("{missing: 4 in 4}", "", "'4 in 4' is no chance between never and always"),
        ("{missing: 0 in 4}", "", "'0 in 4' is no chance between never and always"),
        ("{from: [undr]}", "", "there is no position `undr`; did you mean `under`?"),
        ("", "{head: [99q]}", "no tool fits a head `99q`"),
        ("", "{count: [some]}", "'some' is not a count; write a whole number: 4"),
        ("", "{mising: 1 in 3}", "`mising` is not a key of what varies of a joint; did you mean `missing`?"),
    ],
)
def test_what_can_not_be_is_refused(varies, joint, fault):
    reading = read(varies, joint)
    assert reading.machine is None
    assert fault in str(reading.faults[0])


@pytest.mark.parametrize(
    ("varies", "joint", "after", "fault"),
    [
        ("", "{head: T25}", "", "`T25` is what the file has already"),
        ("", "{count: 6}", "", "`6` is what the file has already"),
        ("{chance: 1 in 2}", "", "", "there is a chance here, and nothing that it is the chance of"),
        ("", "", "from_type: {machine: x, unsure: [gard]}\n", "`gard` is not there, so nothing of it"),
        ("", "", "from_type: {machine: x, unsure: [guard/bolts]}\n", "`guard/bolts` is not there"),
    ],
)
def test_what_says_nothing_is_told(varies, joint, after, fault):
    reading = read(varies, joint, after)
    assert reading.machine is not None
    assert [fault in str(one) for one in reading.faults] == [True]


def test_an_assembly_says_what_varies_in_it_and_its_positions_become_the_machine_s(tmp_path):
    (tmp_path / "drive.yaml").write_text(
        "assembly: Drive\npositions: {here: , below: }\n"
        "parts: {belt: {varies: {from: [below], missing: 1 in 9}, joints: {pin: {kind: pin}}}}\n"
    )
    path = tmp_path / "saw.yaml"
    path.write_text(
        "machine: Saw\npositions: {front: , under: }\nparts: {lid: {joints: {clip: {kind: clip}}}}\n"
        "include: [{assembly: drive.yaml, as: d, at: {here: front, below: under}}]\n"
    )
    from sequencer.machine import read as read_file

    found = read_file(path)
    assert found.machine is not None, [str(one) for one in found.faults]
    assert found.machine.parts["d-belt"].varies == Varies(Fraction(1, 9), places=("under",))
