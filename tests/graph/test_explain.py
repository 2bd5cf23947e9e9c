"""Why a target can't be reached: a real circle and a shortest one, and what is said to open it does."""

import io
import re

import networkx as nx
import pytest
from ruamel.yaml import YAML

from sequencer.graph import UnreachableError, derive, explain_conflict, goals, narrowed, parse_targets
from sequencer.machine import read_text
from sequencer.plan import plan_teardown
from tests.support.plain_machine import goal, load_machine
from tests.support.plain_rules import orderings
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.reference import best_seconds
from tests.support.some import some


def machine_of(text):
    reading = read_text(text, "machine.yaml")
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    return reading.machine


def planned(text, targets):
    machine = machine_of(text)
    off = [what for verb, what in targets if verb == "off"]
    reach = [what for verb, what in targets if verb == "reach"]
    return plan_teardown(machine, parse_targets(machine, off, reach))


def failure(text, targets):
    with pytest.raises(UnreachableError) as caught:
        planned(text, targets)
    return caught.value


def closure(asks):
    done = set()
    while free := {n for n, clauses in asks.items() if n not in done and all(c & done for c in clauses)}:
        done |= free
    return done


def waiting(text, targets):
    """Who waits for whom in vain, of what the targets lead to, told by the second reading alone.

    Where the needs alone leave room, one choice keeps all the operations and the order among them in mind.
    """
    plain = load_machine(text)
    asks = {name: list(op.asks) for name, op in plain.operations.items()}
    if all(clause & closure(asks) for clause in goal(plain, targets)):
        for earlier, later in orderings(plain, asks):
            asks[later].append(frozenset({earlier}))
    done = closure(asks)
    graph = nx.DiGraph()
    graph.add_edges_from(
        (name, other) for name in asks for clause in asks[name] if not clause & done for other in clause
    )
    return graph


def stuck_for_need(text, targets):
    plain = load_machine(text)
    done = closure({name: list(op.asks) for name, op in plain.operations.items()})
    return any(not clause & done for clause in goal(plain, targets))


STUCK = counts(
    quick={2: (1, 21, 38), 3: (88, 141), 4: (41,)},
    landing={2: (1, 21, 38, 41, 67), 3: (1, 88, 141, 315), 4: (41, 108)},
    nightly={
        2: (1, 21, 38, 41, 48, 67, 108, 171, 213, 361),
        3: (1, 38, 41, 67, 88, 101, 141, 315, 460),
        4: (29, 41, 101, 108),
    },
)
"""Machines by chance, by their size, that hold a circle (see the next test for the reference)."""

RANDOM = [
    pytest.param(*random_machine(number, size), id=f"{size} parts, number {number}")
    for size, numbers in STUCK.items()
    for number in numbers
]


@pytest.mark.parametrize(("size", "number"), [(size, n) for size in (2, 3) for n in STUCK[size]])
def test_the_reference_finds_no_way_either(size, number):
    assert best_seconds(*random_machine(number, size)) is None


@pytest.mark.parametrize(("text", "targets"), RANDOM)
def test_each_of_the_circle_waits_for_the_next(text, targets):
    circle = failure(text, targets).circle
    waits = waiting(text, targets)
    for wait, after in zip(circle, [*circle[1:], circle[0]], strict=True):
        assert wait.waits_for == after.waits
        assert waits.has_edge(wait.waits, wait.waits_for), str(wait)
    assert len({wait.waits for wait in circle}) == len(circle)


@before_landing
@pytest.mark.parametrize(("text", "targets"), RANDOM)
def test_no_circle_that_the_targets_lead_to_is_shorter(text, targets):
    if not stuck_for_need(text, targets):
        pytest.skip("held by an order of cracks or states, not by needs")
    waits = waiting(text, targets)
    stuck = {n for c in goal(load_machine(text), targets) for n in c if n in waits}
    led_to = stuck | {n for name in stuck for n in nx.descendants(waits, name)}
    # networkx.simple_cycles: every elementary circle (Johnson 1975).
    shortest = min(map(len, nx.simple_cycles(waits.subgraph(led_to))))
    assert len(failure(text, targets).circle) == shortest


OPENING = re.compile(r"is '([\w-]+)' free to be \w+ aside\? give it `(\w+)` .* at machine\.yaml:(\d+)")


def opened(text, opening):
    """The file with the suggestion carried out: the part has the state, and that line asks for no more."""
    part, state, line = OPENING.match(opening).groups()
    lines = text.splitlines()
    at = int(line) - 1
    while not re.search(rf"(?<![\w-]){part}(?![\w/-])", lines[at]):
        at += 1
    asked = rf"\{{{part}: \w+\}}|(?<![\w-]){part}: \w+$|(?<![\w-]){part}(?![\w/:-])"
    lines[at] = re.sub(asked, f"{{{part}: {state}}}", lines[at], count=1)
    head = next(i for i, found in enumerate(lines) if re.match(rf"  {part}:", found))
    if lines[head].endswith(":"):
        lines.insert(head + 1, f"    {state}: {{}}")
    else:
        lines[head] = lines[head].replace("{", f"{{{state}: {{}}, ", 1)
    return "\n".join(lines) + "\n"


STRIKE = re.compile(r"is it so that .*\? strike that out at machine\.yaml:(\d+)$")


def struck(text, opening):
    """The file without the relation, or the crack, that is written in that line."""
    line = int(STRIKE.match(opening).group(1))
    yaml = YAML()
    data = yaml.load(text)
    things = [*data["parts"].values(), *data.get("tasks", {}).values()]
    things += [fluid["drain"] for fluid in data.get("fluids", {}).values()]
    things += [joint for part in data["parts"].values() for joint in part["joints"].values()]
    gone = 0
    for thing in things:
        for key in ("behind", "trapped_by"):
            items = thing.get(key, [])
            meant = [item for at, item in enumerate(items) if items.lc.item(at)[0] + 1 == line]
            if meant:  # what is written twice is one relation
                gone += len(meant)
                thing[key] = [item for item in items if item not in meant]
        if "crack" in thing and line in {
            place[0] + 1 for place in (thing.lc.key("crack"), thing.lc.value("crack"))
        }:
            gone += 1
            del thing["crack"]
    assert gone == 1, opening
    stream = io.StringIO()
    yaml.dump(data, stream)
    return stream.getvalue()


def carried_out(text, opening):
    return (opened if OPENING.match(opening) else struck)(text, opening)


def states_in(error):
    """The parts that are offered a state."""
    return {found.group(1) for opening in error.openings if (found := OPENING.match(opening))}


def test_the_openings_of_random_machines_open_them():
    tried = {"state": 0, "strike": 0}
    for text, targets in (param.values for param in RANDOM):
        for opening in failure(text, targets).openings:
            planned(carried_out(text, opening), targets)
            tried["state" if OPENING.match(opening) else "strike"] += 1
    assert tried["state"] >= counts(quick=1, landing=2, nightly=5)
    assert tried["strike"] >= counts(quick=4, landing=8, nightly=20)


@before_landing
def test_where_one_relation_less_would_do_it_is_found():
    # Each relation of the circle is struck out in turn; if one opens the target, the message has an opening.
    opens = 0
    for text, targets in (param.values for param in RANDOM):
        lines = {link.reason.place.line for link in failure(text, targets).circle}
        able = []
        for line in lines:
            try:
                planned(struck(text, f"is it so that x? strike that out at machine.yaml:{line}"), targets)
            except (UnreachableError, AssertionError):
                continue
            able.append(line)
        assert bool(able) <= bool(failure(text, targets).openings)
        opens += bool(able)
    assert opens >= counts(quick=1, landing=2, nightly=5)


HEAD = "machine: By hand\npositions: {bench: {label: At the bench}}\nparts:\n"
JOINT = "joints: {j: {kind: clip, tool: hand, time: 1}}"


A_BEHIND_B = f"  a: {{behind: [b], {JOINT}}}\n"
B_BEHIND_C = f"  b: {{behind: [c], {JOINT}}}\n"


@pytest.mark.parametrize(
    ("parts", "circle", "free"),
    [
        (A_BEHIND_B + f"  b: {{trapped_by: [a], {JOINT}}}\n", ["remove a", "remove b"], {"b"}),
        # What is behind is behind on the joints too: neither would be loose before the other is off.
        (A_BEHIND_B + f"  b: {{behind: [a], {JOINT}}}\n", ["remove a", "remove b"], set()),
        (
            A_BEHIND_B + B_BEHIND_C + f"  c: {{trapped_by: [a], {JOINT}}}\n",
            ["remove a", "remove b", "remove c"],
            {"c"},
        ),
        # Trapped in a ring, each has only to make way a little.
        (
            f"  a: {{trapped_by: [b], {JOINT}}}\n  b: {{trapped_by: [a], {JOINT}}}\n",
            ["remove a", "remove b"],
            {"a", "b"},
        ),
    ],
)
def test_a_circle_by_hand_is_told_with_what_would_open_it(parts, circle, free):
    text, targets = HEAD + parts, [("off", "a")]
    error = failure(text, targets)
    assert sorted(wait.waits for wait in error.circle) == circle
    assert states_in(error) == free
    for opening in error.openings:
        if OPENING.match(opening):
            assert planned(opened(text, opening), targets).steps
    assert sum(STRIKE.match(opening) is not None for opening in error.openings) == min(
        len(circle), 3 - len(free)
    )
    for wait in some(error.circle):
        assert f"machine.yaml:{wait.reason.place.line}" in str(wait)
        assert str(wait) in str(error)


def test_of_two_ways_in_that_are_both_stuck_the_one_in_the_circle_is_offered():
    text = HEAD + f"  a: {{behind: [{{any: [b, c]}}], {JOINT}}}\n"
    text += f"  b: {{trapped_by: [a], {JOINT}}}\n  c: {{trapped_by: [a], {JOINT}}}\n"
    error = failure(text, [("off", "a")])
    (part,) = states_in(error)
    assert f"remove {part}" in {wait.waits for wait in error.circle}
    for opening in some(filter(OPENING.match, error.openings)):
        assert planned(opened(text, opening), [("off", "a")]).steps


def test_cracks_that_wait_for_each_other_are_a_circle_too():
    joint = "{{kind: bolt, head: 10, time: 9 s, crack: {{while: [{}]}}}}"
    text = HEAD + "".join(
        f"  {a}: {{joints: {{j: {joint.format(b)}}}}}\n" for a, b in (("left", "right"), ("right", "left"))
    )
    targets = [("off", "left"), ("off", "right")]
    assert best_seconds(text, targets) is None
    error = failure(text, targets)
    assert {wait.waits for wait in error.circle} == {"crack left/j", "crack right/j"}
    assert all(wait.reason.kind.value == "crack" for wait in error.circle)
    assert planned(text, [("off", "left")]).proven  # one alone touches nothing that the other is cracked by


def test_the_explanation_of_a_conflict_names_operations_of_the_job():
    joint = "{kind: bolt, head: 10, time: 9 s, crack: {while: [cap]}}"
    text = HEAD + f"  cap: {{{JOINT}}}\n  base: {{behind: [cap], joints: {{j: {joint}}}}}\n"
    assert best_seconds(text, [("off", "base")]) is None
    machine = machine_of(text)
    whole = derive(machine)
    graph, wanted = narrowed(whole, goals(whole, parse_targets(machine, ["base"])))
    error = explain_conflict(graph, wanted)
    assert {wait.waits for wait in error.circle} <= set(whole.operations)
    assert "crack base/j" in {wait.waits for wait in error.circle}
    assert str(failure(text, [("off", "base")])) == str(error)


def test_the_message_says_how_many_wait_and_ends_with_a_remedy():
    text = HEAD + f"  a: {{behind: [b], {JOINT}}}\n  b: {{trapped_by: [a], {JOINT}}}\n"
    error = failure(text, [("off", "a")])
    assert f"each of {len(error.circle)} operations waits for the next, in a circle" in error.problem
    assert error.remedy == "; or ".join(error.openings) != ""
    assert all(f"\n  {opening}" in str(error) for opening in error.openings)
    both = f"  a: {{behind: [b], trapped_by: [c], {JOINT}}}\n  b: {{behind: [a], {JOINT}}}\n"
    closed = failure(HEAD + both + f"  c: {{behind: [a], {JOINT}}}\n", [("off", "a")])
    assert closed.remedy == "no single change opens it: more than one of these relations can't be so"


@before_landing
def test_a_circle_through_the_whole_of_a_large_machine_is_told_link_by_link():
    parts = counts(quick=120, landing=150, nightly=1200)
    lines = (
        f"  p{n}: {{behind: [p{(n + 1) % parts}], joints: {{clip: {{kind: clip, tool: hand, time: 1 s}}}}}}"
        for n in range(parts)
    )
    text = "machine: A ring\npositions: {bench: {}}\nparts:\n" + "\n".join(lines)
    caught = failure(text, [("off", "p7")])
    assert len(caught.circle) == parts
    assert {wait.waits for wait in caught.circle} == {f"remove p{n}" for n in range(parts)}


def test_what_the_target_itself_waits_for_is_tried_as_well():
    text = HEAD + f"  t: {{behind: [x], {JOINT}}}\n  x: {{behind: [y, z], {JOINT}}}\n"
    text += f"  y: {{behind: [x], {JOINT}}}\n  z: {{behind: [x], {JOINT}}}\n"
    error = failure(text, [("off", "t")])
    assert any(STRIKE.match(opening) for opening in error.openings)
    for opening in error.openings:
        assert planned(carried_out(text, opening), [("off", "t")]).steps


@pytest.mark.parametrize(("text", "targets"), RANDOM)
def test_no_change_is_said_to_be_left_untried_that_opens_it(text, targets):
    error = failure(text, targets)
    if error.openings or not error.complete:
        return
    for line in range(1, text.count("\n") + 2):
        try:
            less = struck(text, f"is it so that x? strike that out at machine.yaml:{line}")
        except AssertionError:
            continue
        with pytest.raises(UnreachableError):
            planned(less, targets)
