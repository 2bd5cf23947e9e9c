"""Questions about an order that is only kept: which are asked, what answers free, and that it is safe."""

import random

import pytest

from sequencer.graph import derive, parse_targets
from sequencer.graph.kept import unexplained
from sequencer.machine import read_text
from sequencer.plan.asking import WORTH, About, free_of, questions, with_free
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown
from tests.support.profile import before_landing, counts

PRESS = """\
machine: Press
positions: {front: {enter: 60 s}, under: {enter: 100 s, leave: 60 s}}
parts:
  guard: {joints: {screws: {kind: screw, head: PH2, count: 3}}}
  tray: {from: under, joints: {clips: {kind: clip, count: 4}}}
  cooler: {joints: {nuts: {kind: nut, head: 10, count: 2}}}
  strap: {from: under, joints: {nut: {kind: nut, head: 10}}}
  shroud: {joints: {clips: {kind: clip, count: 4}}}
  bracket: {from: under, joints: {bolts: {kind: bolt, head: 13}}}
  pump: {joints: {bolts: {kind: bolt, head: 13, count: 3}}}
"""
ORDER = ["guard", "tray", "cooler", "strap", "shroud", "bracket", "pump"]


def machine_of(text):
    reading = read_text(text, "press.yaml")
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    return reading.machine


def press(text=PRESS, order=ORDER):
    return machine_of(f"{text}taken_apart: {{order: [{', '.join(order)}]}}\n")


def asked(machine, *more, **kinds):
    return questions(machine, parse_targets(machine, ["pump"]), *more, **kinds)


@before_landing
def test_groups_are_asked_about_first_and_finer_once_those_are_answered():
    machine = press()
    [first] = asked(machine)
    assert (first.about, first.places) == (About.PLACES, ("front", "under"))
    assert [str(told) for told in first.then] == ["tray", "strap", "bracket"]
    assert first.saving > first.worth > WORTH
    finer = asked(machine, {first.key})
    assert {one.about for one in finer} == {About.REASON}
    assert finer == sorted(finer, key=lambda one: -one.worth)


@before_landing
def test_nobody_is_asked_whether_what_holds_or_raises_was_in_the_way():
    text = PRESS.replace("positions:", "tasks: {raise: {undo: {}}}\npositions:")
    [first] = asked(press(text, ["raise", *ORDER]))
    assert "raise" not in map(str, (*first.first, *first.then))
    freed = with_free(machine := press(text, ["raise", *ORDER]), free_of(machine.taken_apart, first))
    assert (0, 2) in unexplained(freed)


def test_the_answer_saves_what_the_question_promises():
    machine = press()
    [first] = asked(machine)
    targets = parse_targets(machine, list(machine.parts))

    def takes(one):
        into = plan_teardown(one, targets)
        return into.totals.seconds + plan_refit(into).totals.seconds

    freed = with_free(machine, free_of(machine.taken_apart, first))
    assert takes(machine) - takes(freed) >= first.saving - 60
    assert asked(freed) == []  # nothing is worth a minute any more


@before_landing
def test_nothing_is_asked_where_nothing_is_kept_or_too_little_could_be_saved():
    assert asked(machine_of(PRESS)) == []
    assert asked(press(PRESS.replace("from: under, ", ""))) == []
    grouped = [*ORDER[1::2], *ORDER[::2]]
    assert asked(press(order=grouped)) == []


def test_what_is_alike_is_asked_about_as_one():
    plugs = "".join(
        f"  plug-{n}: {{from: {('front', 'under')[n % 2]}, joints: {{a: {{kind: clip}}}}}}\n"
        for n in range(6)
    )
    text = PRESS.partition("  guard")[0] + plugs + "  pump: {joints: {bolts: {kind: bolt, head: 13}}}\n"
    machine = press(text, [f"plug-{n}" for n in range(6)] + ["pump"])
    places = {one.key for one in asked(machine)}
    alike = [one for one in asked(machine, places) if one.about is About.ALIKE]
    assert [[str(told) for told in one.first] for one in alike] == [[f"plug-{n}" for n in range(6)]]


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=0, landing=10, nightly=20)))
def test_an_answer_frees_all_pairs_but_those_whose_first_was_in_the_way(seed):
    rng = random.Random(seed)
    machine = press()
    taken = machine.taken_apart
    [group] = asked(machine)
    but = rng.sample(taken.order, rng.randint(0, 4))
    left = set(unexplained(with_free(machine, free_of(taken, group, but))))
    place = {told: number for number, told in enumerate(taken.order)}
    first, then = ({place[t] for t in side} for side in (group.first, group.then))
    for i, j in unexplained(machine):
        about = (i in first and j in then) or (j in first and i in then)
        assert ((i, j) in left) == (not about or taken.order[i] in but), (i, j)


def a_true_machine(rng):
    """What is in the way of what, where each part is, and the order in which a person takes it apart."""
    names = [f"p{number}" for number in range(rng.randint(6, 9))]
    behind = {n: set(rng.sample(names[:k], rng.randint(0, min(k, 2)))) for k, n in enumerate(names)}
    where = {n: rng.choice(("front", "under")) for n in names}
    order, place = [], "front"
    while len(order) < len(names):
        able = [n for n in names if n not in order and behind[n] <= set(order)]
        order.append(min(able, key=lambda n: (where[n] != place, names.index(n))))
        place = where[order[-1]]
    return behind, where, order


def text_of(where, behind):
    parts = "".join(
        f"  {n}: {{from: {at}, behind: [{', '.join(sorted(behind[n]))}], joints: {{j: {{kind: clip}}}}}}\n"
        for n, at in where.items()
    )
    return f"{PRESS.partition('parts:')[0]}parts:\n{parts}"


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=1, landing=4, nightly=100)))
def test_with_true_answers_every_plan_can_be_done_on_the_real_machine_both_ways(seed):
    rng = random.Random(seed)
    behind, where, order = a_true_machine(rng)
    true = derive(machine_of(text_of(where, behind)))
    machine = press(text_of(where, {name: set() for name in where}), order)
    done = set()
    for _ in range(4):
        targets = parse_targets(machine, list(machine.parts))
        found = questions(machine, targets, done, most=1)
        if not found:
            break
        done.add(found[0].key)
        things = {*found[0].first, *found[0].then}
        inside = {str(told) for told in things}
        but = [told for told in things if any(str(told) in behind[other] for other in inside)]
        if found[0].about is About.REASON or (found[0].about is About.PAIR and but):
            continue  # "yes, it was": nothing is learned
        machine = with_free(machine, free_of(machine.taken_apart, found[0], but))
    into = plan_teardown(machine, parse_targets(machine, list(machine.parts)))
    off = [op.subject for op in into.operations if op.kind.value == "remove"]
    assert all(behind[name] <= set(off[:number]) for number, name in enumerate(off))
    back = [op.name for op in plan_refit(into).operations]
    for name in off:
        for first in behind[name]:  # it goes on after what it was in the way of is fastened
            assert back.index(f"fit {first}") > back.index(f"fasten {name}/j"), (name, first)
    assert true.operations.keys() == derive(machine).operations.keys()


@before_landing
def test_what_was_drained_stays_before_what_came_after_it_and_nobody_is_asked_whether_it_had_to_be():
    oil = "fluids: {oil: {volume: 2 L, drain: {from: under, tool: 17}}}\n"
    machine = press(PRESS.replace("parts:", f"{oil}parts:"), [*ORDER[:2], "oil", *ORDER[2:]])
    [group] = asked(machine)
    freed = with_free(machine, free_of(machine.taken_apart, group))
    assert "drain oil" in [
        op.name for op in plan_teardown(freed, parse_targets(machine, ["pump"])).operations
    ]
    assert "oil" not in [str(one.first[0]) for one in asked(freed, {group.key})]
