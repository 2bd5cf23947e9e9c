"""The order in which a machine came apart: what waits for what, where it gives way, and the way back."""

import pytest

from sequencer.graph import derive, goals, parse_targets
from sequencer.graph.kept import unexplained
from sequencer.graph.operations import Because
from sequencer.graph.reach import possible
from sequencer.graph.reverse import way_back
from sequencer.machine import read_text
from sequencer.plan.onward.aftermath import backwards
from sequencer.plan.onward.present import Present

PRESS = """\
machine: Press
fluids: {oil: {}}
tasks: {mark: {}, prop: {undo: {}}}
parts:
  guard: {joints: {screws: {kind: screw, head: PH2}}}
  cooler: {aside: {joints: [nuts]}, joints: {nuts: {kind: nut, head: 10}, pipe: {kind: hose, tool: hand}}}
  shroud: {joints: {clips: {kind: clip}}}
  pump: {joints: {bolts: {kind: bolt, head: 13, torque: 20 N.m}, plug: {kind: connector}}}
"""


def press(order, free="[]", text=PRESS, **more):
    told = "".join(f"  {key}: {value}\n" for key, value in more.items())
    return f"{text}taken_apart:\n  order: {order}\n  free: {free}\n{told}"


def machine_of(text):
    reading = read_text(text, "press.yaml")
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    return reading.machine


def kept(graph):
    """Who waits for what because it came off first."""
    return {
        (name, *clause.any_of)
        for name, clauses in graph.needs.items()
        for clause in clauses
        if clause.reason.kind is Because.KEPT
    }


def closed(graph, first):
    """What can't be done before any of these."""
    without = {name: clauses for name, clauses in graph.needs.items() if name not in first}
    return set(graph.needs) - possible(without) - set(first)


def test_all_work_on_a_part_waits_for_what_came_off_first_and_its_joints_for_nothing_of_their_own():
    graph = derive(machine_of(press("[guard, pump]")))
    assert kept(graph) == {("undo pump/bolts", "remove guard"), ("undo pump/plug", "remove guard")}
    [reason] = {c.reason for c in graph.needs["undo pump/plug"]}
    assert reason.text == "guard came off first, and nobody said why"
    assert reason.place.line == 10


def test_what_follows_from_others_is_not_asked_again():
    graph = derive(machine_of(press("[guard, {cooler: aside}, shroud, pump]")))
    assert len(kept(graph)) == 5
    assert {"undo shroud/clips", "undo pump/plug", "remove pump"} < closed(graph, ["remove guard"])


@pytest.mark.parametrize(
    ("free", "pairs"),
    [
        ("[]", {"guard shroud", "guard pump", "shroud pump"}),
        ("[{first: [guard]}]", {"shroud pump"}),
        ("[{first: [shroud]}]", {"guard shroud", "guard pump"}),
        ("[{first: [guard], then: [pump]}]", {"guard shroud", "guard pump", "shroud pump"}),
        ("[{first: [guard, shroud], then: [pump]}]", {"guard shroud"}),
        ("[{first: [pump], then: [guard, shroud]}, {first: [guard, shroud], then: [shroud, guard]}]", set()),
    ],
)
def test_what_is_of_no_matter_is_free_as_far_as_nothing_between_asks_for_it(free, pairs):
    graph = derive(machine_of(press("[guard, shroud, pump]", free)))
    parts = ("guard", "shroud", "pump")
    found = {
        f"{one} {other}" for one in parts for other in parts
        if f"remove {other}" in closed(graph, [f"remove {one}"])
    }  # fmt: skip
    assert found == pairs


def test_a_joint_and_a_state_that_are_told_have_their_own_work_and_the_part_the_rest():
    graph = derive(machine_of(press("[{cooler: aside}, guard, cooler, pump/plug, shroud, pump/bolts]")))
    waits = kept(graph)
    assert ("undo guard/screws", "move-aside cooler", "remove cooler") in waits
    assert ("undo cooler/pipe", "remove guard") in waits
    assert not any(name in ("undo cooler/nuts", "move-aside cooler") for name, *_ in waits)
    assert ("undo pump/plug", "remove cooler") in waits
    assert ("undo pump/bolts", "remove shroud") in waits
    assert not any(name == "remove pump" for name, *_ in waits)


def test_what_the_file_says_holds_where_the_order_says_otherwise():
    text = PRESS.replace("guard: {", "guard: {behind: [shroud], ")
    graph = derive(machine_of(press("[guard, pump, shroud]", text=text)))
    assert len(possible(graph.needs)) == len(graph.operations)
    assert kept(graph) == {("undo shroud/clips", "remove pump")}  # the guard comes last then


def test_a_joint_is_cracked_while_what_came_off_first_still_holds_it():
    text = PRESS.replace("torque: 20 N.m", "crack: {while: [shroud]}")
    graph = derive(machine_of(press("[guard, shroud, pump]", text=text)))
    assert [name for name, *_ in kept(graph) if name.startswith("crack")] == ["crack pump/bolts"]
    assert ("crack pump/bolts", "remove guard") in kept(graph)
    assert ("undo pump/bolts", "remove shroud") in kept(graph)


def test_what_a_part_is_reached_behind_came_off_first():
    graph = derive(machine_of(press("[guard, pump]")))
    targets = parse_targets(graph.machine, [], ["pump", "pump/plug"])
    assert [goal.any_of for goal in goals(graph, targets)] == [("remove guard",)]


def test_the_way_back_keeps_it_reversed_also_past_what_is_not_undone_and_what_was_left_in_place():
    graph = derive(machine_of(press("[guard, mark, shroud, pump, oil]")))
    done = [name for name in graph.operations if "shroud" not in name]
    back = way_back(graph, done).graph
    for name in ("fasten pump/bolts", "torque pump/bolts", "fit pump"):
        assert name in closed(back, ["fit guard"]), name
    assert "fill oil" in closed(back, ["fit pump"])
    said = press(
        "[guard, pump, oil]", free="[{first: [oil], then: [guard, pump]}]"
    )  # of the drain, not of the filler
    graph = derive(machine_of(said))
    assert not {name for name, _ in kept(graph)} & {"drain oil"}
    assert "fill oil" in closed(way_back(graph, graph.operations).graph, ["fit pump"])


def test_a_prop_that_a_torque_waits_for_may_be_away_before_the_filling():
    text = PRESS.replace("torque: 20 N.m", "torque: {value: 20 N.m, when: [prop]}")
    told = press("[prop, oil, guard, pump]", free="[{first: [prop], then: [oil, guard]}]", text=text)
    graph = derive(machine_of(told))
    back = way_back(graph, graph.operations).graph
    assert "fill oil" not in closed(back, ["restore prop"])
    assert "torque pump/bolts" in closed(back, ["fit guard"])  # it has its place: what covers it comes after


def test_what_came_off_the_other_way_round_this_time_is_of_no_matter():
    machine = machine_of(press("[guard, pump]", guessed="[]"))
    done = ("undo pump/bolts", "undo pump/plug", "remove pump", "undo guard/screws", "remove guard")
    targets = parse_targets(machine, ["pump"])
    back, _, disproved = backwards(machine, targets, Present(done=done))
    assert (kept(back.graph), disproved) == (set(), ())
    guessed = machine_of(press("[guard, pump]", guessed="[guard]"))
    back, _, disproved = backwards(guessed, targets, Present(done=done))
    assert ("fit pump", "fit guard") not in kept(back.graph)
    assert "fit pump" in closed(back.graph, ["fit guard"])
    assert disproved == ()


def test_forty_parts_that_came_off_one_after_the_other_ask_little_of_the_engine():
    names = [f"part-{number}" for number in range(40)]
    parts = "".join(f"  {n}: {{joints: {{a: {{kind: clip}}, b: {{kind: clip}}}}}}\n" for n in names)
    machine = machine_of(f"machine: Long\nparts:\n{parts}taken_apart: {{order: [{', '.join(names)}]}}\n")
    graph = derive(machine)
    assert len(kept(graph)) == 2 * 39  # each joint waits for the part before, and all the rest follows
    assert len(kept(way_back(graph, graph.operations).graph)) == 2 * 39


def test_a_task_of_which_the_file_says_what_it_is_for_is_waited_for_by_that_alone():
    text = PRESS.replace("prop: {undo: {}}", "prop: {undo: {}, carries: [pump]}")
    graph = derive(machine_of(press("[prop, guard, pump]", text=text)))
    assert "remove guard" not in closed(graph, ["task prop"])
    assert "undo pump/bolts" in closed(graph, ["task prop"])
    unsaid = derive(machine_of(press("[prop, guard, pump]")))
    assert "remove guard" in closed(unsaid, ["task prop"])


def test_what_a_part_was_in_the_way_of_says_nothing_of_the_tasks_after_it():
    told = press("[guard, mark, pump]", free="[{first: [guard]}]")
    assert unexplained(machine_of(told)) == [(0, 1), (1, 2)]
