"""What a machine file leaves out, and the short ways to write what it has."""

from fractions import Fraction

import pytest

from sequencer.machine import read_text
from sequencer.machine.model import HAND, Atom, Freedom, Renewal, State, WayTexts
from sequencer.quantities import parse_torque
from tests.machine.texts import SMALL, joint, machine
from tests.support.plain_machine import load_machine
from tests.support.profile import counts
from tests.support.random_machines import random_machine

CLIP = "joints: {a: {kind: clip}}"


def part(body: str):
    return machine(SMALL + f"  x: {{{body}, {CLIP}}}\n").parts["x"]


def test_a_file_without_positions_has_one_called_here():
    found = machine("machine: x\nparts: {a: {joints: {b: {kind: clip}}}}\n")
    assert list(found.positions) == ["here"]
    assert found.parts["a"].joints["b"].position == "here"
    assert found.start is None


def test_a_joint_takes_its_position_from_its_part_and_the_part_from_the_first():
    text = SMALL + "  x: {from: under, joints: {a: {kind: clip}, b: {kind: clip, from: bench}}}\n"
    found = machine(text).parts
    assert (found["motor"].position, found["x"].position) == ("bench", "under")
    assert [one.position for one in found["x"].joints.values()] == ["under", "bench"]


def test_a_joint_without_a_time_takes_its_kinds_for_each():
    assert (joint("kind: bolt, head: 10, count: 3").seconds, joint("kind: clip").seconds) == (135, 20)
    assert joint("kind: bolt, head: 10").seconds_from == "default"
    assert joint("kind: bolt, head: 10, count: 3, each: 1.5 min").seconds == 270
    assert joint("kind: bolt, head: 10, count: 3, time: 50").seconds == 50


def test_a_crack_takes_a_third_of_its_joint():
    cracked = joint("kind: bolt, head: 10, time: 50 s, crack: {while: guard}")
    assert cracked.crack is not None
    assert (cracked.crack.while_parts, cracked.crack.seconds) == (("guard",), Fraction(50, 3))
    assert joint("kind: bolt, head: 10, crack: [guard, motor]").crack.while_parts == ("guard", "motor")


def test_times_of_parts_states_tasks_and_fluids_have_defaults():
    text = "machine: m\nfluids: {f: }\ntasks: {t: , u: {undo: }, v: {label: Prop it, tool: 13, undo: {}}}\n"
    found = machine(text + "parts: {a: {loose: , aside: {}, joints: {b: {kind: clip}}}}\n")
    a = found.parts["a"]
    assert (a.seconds, a.seconds_from) == (10, "default")
    assert (a.loose.joints, a.loose.seconds, a.aside.seconds) == ((), 0, 0)
    assert (found.fluids["f"].drain.seconds, found.fluids["f"].fill.seconds) == (720, 360)
    t, u, v = found.tasks.values()
    assert (t.seconds, t.tool, t.position, t.undo) == (120, HAND, "here", None)
    assert (u.undo.label, u.undo.seconds) == ("Undo: u", 120)
    assert (v.undo.label, v.undo.tool, v.undo.position) == ("Undo: Prop it", "socket-13", "here")


def test_tasks_before_parts_and_joints_become_their_needs_in_order_and_once():
    text = SMALL.replace("{prop: {}}", "{t: {before: [motor]}, prop: {before: [motor, motor/plug]}}")
    found = machine(text.replace("loose:", "needs: [prop]\n    loose:")).parts["motor"]
    assert found.needs == ("prop", "t")
    assert (found.joints["plug"].needs, found.joints["feet"].needs) == (("prop",), ())


def test_one_entry_needs_no_brackets():
    found = part("behind: guard, trapped_by: {motor: loose}, wet: oil, needs: prop, caution: Hot")
    assert [need.any_of for need in found.under("behind")] == [(Atom("guard"),)]
    assert [need.any_of for need in found.under("trapped_by")] == [(Atom("motor", State.LOOSE),)]
    assert (found.wet, found.needs, found.cautions.all) == (("oil",), ("prop",), ("Hot",))


def test_any_inside_any_is_one_any():
    (need,) = part("behind: {any: [guard, {any: [motor/plug, {motor: loose}]}, guard]}").under("behind")
    assert need.any_of == (Atom("guard"), Atom("motor", State.OFF, "plug"), Atom("motor", State.LOOSE))


@pytest.mark.parametrize("written", ["{joints: [a]}", "[a]", "a", "{joints: a}", "{joints: [x/a]}"])
def test_a_state_can_be_written_short(written):
    loose = part(f"loose: {written}").loose
    assert isinstance(loose, Freedom)
    assert (loose.joints, loose.seconds) == (("a",), 0)


@pytest.mark.parametrize("written", ["", "{}", "yes"])
def test_a_state_may_ask_for_no_joint(written):
    assert part(f"loose: {written}").loose.joints == ()


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("Gasket", (Renewal("Gasket"),)),
        (
            "[Gasket, {item: Bolt, count: 4, price: 3.40}]",
            (Renewal("Gasket"), Renewal("Bolt", 4, Fraction("3.4"))),
        ),
        ("{item: Bolt, price: £2}", (Renewal("Bolt", 1, Fraction(2)),)),
        ("{item: Bolt, price: 2.50 EUR}", (Renewal("Bolt", 1, Fraction("2.5")),)),
    ],
)
def test_what_is_renewed_can_be_written_short(written, expected):
    assert part(f"renew: {written}").renew == expected


@pytest.mark.parametrize(
    "written",
    [
        "torque: {stages: [20 N.m, 90 deg], pattern: cross, source: manual, override: I know}",
        "torque: [20 N.m, 90 deg], pattern: cross, source: manual, override: I know",
        "stages: [20 N.m, 90 deg], pattern: cross, source: manual, override: I know",
        "torque: {stages: [20  N.m, 90 deg]}, pattern: cross, source: manual, override: I know",
    ],
)
def test_a_tightening_may_stand_under_torque_or_beside_it(written):
    torque = joint(f"kind: bolt, head: 10, {written}").torque
    assert ([one.text for one in torque.stages], torque.pattern) == (["20 N.m", "90 deg"], "cross")
    assert (torque.source, torque.override) == ("manual", "I know")


def test_a_torque_stays_as_it_was_written():
    assert joint("kind: bolt, head: 10, torque: 35 ft-lb").torque.stages == (parse_torque("35 ft-lb"),)
    assert joint("kind: bolt, head: 10, torque: {value: 47 Nm, order: [a, b]}, count: 2").torque.order == (
        "a",
        "b",
    )


def test_scalars_are_the_text_of_the_file():
    found = joint("kind: bolt, head: 010, thread: on, class: 10.90, label: 12:30")
    assert (found.thread, found.property_class, found.label) == ("on", "10.90", "12:30")


def test_a_tool_under_tools_goes_before_a_head_and_a_head_may_be_named_as_a_tool():
    assert joint("kind: bolt, head: 10, tool: long-bar").tool == "long-bar"
    assert joint("kind: bolt, tool: T25").tool == "T-25"
    assert joint("kind: bolt, head: 10, tool: hand").tool == HAND
    own = SMALL.replace("tools: {", "tools: {socket-13: {label: My 13, drive: 1/2  in}, ")
    assert machine(own).tools["socket-13"].label == "My 13"
    assert machine(own).tools["socket-13"].drive == "1/2 in"


def test_nut_and_bolt_share_a_socket_and_a_union_wants_a_spanner():
    assert joint("kind: bolt, head: 13").tool == joint("kind: nut, head: 13 mm").tool == "socket-13"
    union = machine(SMALL + "  x: {joints: {a: {kind: union, head: 13}}}\n")
    assert union.tools["spanner-13"].drive is None


def test_a_kind_may_be_written_in_other_words_and_an_unknown_one_stays():
    assert joint("kind: Flare nut, head: 17").kind == "union"
    reading = read_text(SMALL + "  x: {joints: {a: {kind: zorp, head: 10}}}\n")
    assert reading.machine.parts["x"].joints["a"].kind == "zorp"
    assert reading.machine.parts["x"].joints["a"].seconds == 45


def test_fasteners_places_and_sealants_are_kept():
    found = joint(
        "kind: bolt, head: 10, count: 2, thread: M6, class: 8.8, friction: oiled, engaged_in: aluminium, "
        "engagement: 12  mm, at: [[0, 0], [80, 2.5]], sealant: {kind: rtv, cure: 24 h}"
    )
    assert (found.friction, found.engaged_in, found.engagement) == ("oiled", "aluminium", "12 mm")
    assert found.at == ((0.0, 0.0), (80.0, 2.5))
    assert (found.sealing.kind, found.sealing.cure, found.sealing.assemble_within) == ("rtv", 86400, None)
    assert part("sealant: rtv").sealing.kind == "rtv"


def test_labels_notes_cautions_and_subsystems_are_kept():
    text = SMALL.replace(
        "guard: {", "guard: {label: Guard, note: N, subsystem: drive, caution: [Hot, Sharp], "
    )
    guard = machine(text).parts["guard"]
    assert (guard.label, guard.notes, guard.subsystem) == ("Guard", WayTexts(("N",)), "drive")
    assert guard.cautions == WayTexts(("Hot", "Sharp"), ("Hot", "Sharp"))


@pytest.mark.parametrize("seed", range(counts(quick=6, landing=15, nightly=1000)))
def test_random_machines_read_as_an_independent_reading_of_the_page_has_them(seed):
    text, _ = random_machine(seed, 3 + seed % 6)
    found = read_text(text, "random").machine
    plain = load_machine(text)
    same_tool = {}
    for operation in plain.operations.values():
        where, tool, seconds = _ours(found, operation)
        assert (where, seconds) == (operation.position, operation.seconds), operation
        assert same_tool.setdefault(tool, operation.tool) == operation.tool
    assert len(set(same_tool.values())) == len(same_tool)


def _ours(found, operation):
    """Position, tool and time of one operation of the independent reading, from ours."""
    thing = operation.name.partition(" ")[2]
    if operation.kind in ("task", "drain"):
        work = found.tasks[thing] if operation.kind == "task" else found.fluids[thing].drain
        return work.position, work.tool, work.seconds
    part = found.parts[operation.part]
    if operation.joint is None:
        own = {"remove": part, "loosen": part.loose, "move-aside": part.aside}[operation.kind]
        return part.position, HAND, own.seconds
    one = part.joints[operation.joint]
    share = {"undo": one.seconds, "slacken": one.seconds / 3}
    return one.position, one.tool, one.crack.seconds if operation.kind == "crack" else share[operation.kind]
