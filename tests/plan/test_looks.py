"""What a plan rests on unseen, what a look is worth, which looks are made, what is checked before a lift."""

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import combinations, pairwise, permutations
from pathlib import Path
from random import Random

import pytest

from sequencer.graph import parse_targets
from sequencer.graph.explain import UnreachableError
from sequencer.graph.operations import Kind
from sequencer.machine.library import find
from sequencer.machine.model import HAND
from sequencer.machine.reading import load
from sequencer.plan import plan_teardown
from sequencer.plan.looks.looks import (
    BORESCOPE,
    MIRROR,
    Count,
    before_you_pull,
    look_first,
    looking,
)
from sequencer.plan.looks.looks_kinds import (
    Sensitivity,
    chance_of,
    kind_names,
    look_seconds,
    looks_table,
    posterior_mean,
    sees,
)
from sequencer.plan.looks.looks_lift import CheckReason, sides_left
from sequencer.plan.looks.looks_round import best_round
from sequencer.plan.order.setups import Changes, Setup
from tests.plan.jobs import machine_of, teardown
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine

HAND_WORKED = """
machine: Two sides
start: front
pace: {pick_up: 10 s, put_down: 10 s, swap: 10 s, walk: 30 s}
positions: {front: {label: In front}, back: {label: On the far side}}
parts:
  pump:
    weight: 12 kg
    joints:
      bolts: {kind: bolt, head: 13, count: 2, each: 20 s}
      lines: {kind: hose, tool: hand, from: back, time: 40 s}
"""


@cache
def van():
    machine = load(find(Path("delivery-van")))
    return plan_teardown(machine, parse_targets(machine, ["head"], []))


# ---- The value of one look ----


def test_a_look_is_worth_what_a_calculation_by_hand_says():
    """Worked on paper: bolts in front with the socket, hoses at the back by hand, the lift in front.

    Found at the lift (step 3), one has just come from the back, and is to lift by hand. One more joint like
    the hoses is then where one was: 0 s more. One like the bolts: walk 30, pick up 10, put down 10, instead
    of walk 30: 20 s more. Found before the work begins, either is done beside its own kind: 0 s more. Late is
    10 s in the mean and the search; a part of 12 kg is let down for that.
    """
    found = look_first(teardown(HAND_WORKED, [("off", "pump")]))
    assert [op.name for op in found.plan.operations] == ["undo pump/bolts", "undo pump/lines", "remove pump"]
    (look,) = found.unseen
    search = 20 * 60
    assert (look.shows, look.after, look.late, look.early) == (3, 0, search + 10, 0)
    assert look.chance.kind == "heavy"
    assert look.chance.share == Fraction(6, 100)
    assert look.saves == Fraction(6, 100) * Fraction(8, 10) * (search + 10)  # an eye sees it 8 times in 10
    assert look.seconds == look.alone == 60
    assert look.least_share == 60 / (Fraction(8, 10) * (search + 10))


def cost(changes, setups):
    return sum((changes.seconds(a, b) for a, b in pairwise(setups)), Fraction(0))


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=3, landing=12, nightly=40)))
def test_late_and_early_are_detours_costed_one_by_one(seed):
    text, targets = random_machine(seed, 5)
    try:
        plan = teardown(text, targets)
    except UnreachableError:
        pytest.skip("this machine does not come apart")
    changes = Changes.of(plan.machine)
    setups = [Setup(op.position, op.tool) for op in plan.operations]
    undone = [Setup(op.position, op.tool) for op in plan.operations if op.kind is Kind.UNDO] or setups
    first = [step.number for step in plan.steps if step.operation.subject in plan.machine.first]
    for look in look_first(plan).unseen:
        assert max(first, default=0) <= look.after < look.shows
        line = [changes.start(setups[0].position), *setups]
        late = early = Fraction(0)
        for there in undone:
            ways = [
                cost(changes, [*line[:at], there, *line[at:]]) for at in range(look.after + 1, look.shows + 1)
            ]
            late += ways[-1] - cost(changes, line)
            early += min(ways) - cost(changes, line)
        search = look.late - late / len(undone)
        heavy = (plan.machine.parts[look.part].weight_kg or 0) >= 10
        assert search == (1200 if heavy else 600)
        assert look.early == early / len(undone)
        assert look.saves == look.chance.share * look.sees * (look.late - look.early)


@before_landing
def test_what_saves_most_comes_first():
    saves = [look.saves for look in look_first(van()).unseen]
    assert saves == sorted(saves, reverse=True)


# ---- Which looks are made ----


@dataclass(frozen=True)
class Glance:
    setup: Setup
    saves: Fraction
    seconds: Fraction = Fraction(60)
    after: int = 0


def by_force(looks, before, after, changes):
    """The greatest gain of any set of looks in any order of all of them."""
    best = Fraction(0)
    for size in range(1, len(looks) + 1):
        for chosen in combinations(looks, size):
            worth = sum(look.saves - look.seconds for look in chosen)
            for order in permutations(dict.fromkeys(look.setup for look in chosen)):
                way = cost(changes, [before, *order, after]) - changes.seconds(before, after)
                best = max(best, worth - way)
    return best


@pytest.mark.parametrize("seed", range(counts(quick=3, landing=12, nightly=60)))
def test_no_other_choice_of_looks_in_any_order_gains_more(seed):
    chance = Random(seed)
    text, _ = random_machine(seed, 4)
    machine = machine_of(text)
    changes = looking(machine)
    places = list(machine.positions)
    tools = ["hand", MIRROR, BORESCOPE]
    looks = [
        Glance(Setup(chance.choice(places), chance.choice(tools)), Fraction(chance.randrange(30, 160)))
        for _ in range(6)
    ]
    before, after = Setup(places[0], "hand"), Setup(chance.choice(places), "hand")
    found = best_round(looks, before, after, changes)
    assert (found.gain if found else 0) == by_force(looks, before, after, changes)
    if found:
        order = list(dict.fromkeys(look.setup for look in found.looks))
        way = cost(changes, [before, *order, after]) - changes.seconds(before, after)
        assert found.change_seconds == way
        assert found.seconds == way + 60 * len(found.looks)


@before_landing
def test_looks_that_are_made_save_more_than_they_take():
    found = look_first(van())
    assert found.looks
    assert all(one.gain > 0 for one in found.rounds)
    assert all(look.saves > look.seconds and look.checks for look in found.looks)
    assert found.saves > found.seconds


@before_landing
def test_nobody_looks_from_below_before_the_van_stands_on_its_stands():
    raised = next(step.number for step in van().steps if step.operation.subject == "raise-van")
    low = [look for look in look_first(van()).unseen if look.position in ("under", "arch")]
    assert low
    assert all(raised <= look.after < look.shows for look in low)
    high = [look for look in look_first(van()).unseen if look.position in ("front", "left", "cab")]
    isolated = next(step.number for step in van().steps if step.operation.subject == "isolate")
    assert {look.after for look in high if look.tool == BORESCOPE or look.behind} == {isolated}
    assert all(isolated <= look.after < look.shows for look in high)


def test_with_the_guard_off_an_eye_does_what_a_borescope_would_do_before():
    machine = load(Path(__file__).parents[2] / "examples" / "bench-pump.yaml")
    plan = plan_teardown(machine, parse_targets(machine, ["seal"], []))
    guard_off = next(step.number for step in plan.steps if step.operation.name == "remove guard")
    (look,) = look_first(plan).looks
    assert (look.part, look.tool, look.after, look.behind) == ("motor", HAND, guard_off, ())
    assert look.seconds == look.alone  # nothing is fetched for it
    assert look.least_share == Fraction(1, 16)  # a minute against 20 that it shows 8 times in 10


def test_a_look_is_still_right_at_the_chance_that_is_told_and_wrong_below():
    plan = teardown(HAND_WORKED, [("off", "pump")])
    (look,) = look_first(plan).unseen
    at = replace(look, chance=replace(look.chance, share=look.least_share))
    assert at.saves == at.alone


def test_nobody_looks_before_what_comes_first_in_any_job():
    text = HAND_WORKED.replace("parts:", "tasks: {lock-off: {time: 1 min}}\nfirst: [lock-off]\nparts:")
    (look,) = look_first(teardown(text, [("off", "pump")])).unseen
    assert look.after == 1


def test_a_task_at_the_place_itself_comes_before_looks_from_there():
    text = HAND_WORKED.replace(
        "parts:", "tasks:\n  prop: {from: back, time: 1 min, before: [pump/lines]}\nparts:\n"
        "  pipe:\n    from: back\n    needs: [prop]\n    joints: {clip: {kind: clip}}"
    )  # fmt: skip
    plan = teardown(text, [("off", "pump"), ("off", "pipe")])
    prop = next(step.number for step in plan.steps if step.operation.subject == "prop")
    assert {look.after for look in look_first(plan).unseen if look.position == "back"} == {prop}


@before_landing
def test_the_plan_itself_is_left_as_it_was():
    found = look_first(van())
    assert found.plan is van()


# ---- Chances, and the person's own record ----


def integral(powers):
    """The integral of x^a (1 - x)^b from 0 to 1, term by term."""
    a, b = powers
    total, binomial = Fraction(0), 1
    for k in range(b + 1):
        total += Fraction((-1) ** k * binomial, a + k + 1)
        binomial = binomial * (b - k) // (k + 1)
    return total


@pytest.mark.parametrize("looked", range(7))
@pytest.mark.parametrize("blocked", range(7))
def test_the_posterior_mean_is_what_integration_over_all_chances_gives(looked, blocked):
    """A prior Beta(2, 6): chance 1/4, worth eight parts; the likelihood is binomial."""
    if blocked > looked:
        with pytest.raises(ValueError, match="of"):
            posterior_mean(Fraction(1, 4), Fraction(8), Count(looked, blocked))
        return
    a, b = 2 - 1 + blocked, 6 - 1 + looked - blocked
    expected = integral((a + 1, b)) / integral((a, b))
    assert posterior_mean(Fraction(1, 4), Fraction(8), Count(looked, blocked)) == expected


@before_landing
def test_the_persons_own_record_takes_over_from_the_table():
    before = {look.part: look.chance for look in look_first(van()).unseen}
    kind = before["downpipe"].kind
    after = {look.part: look.chance for look in look_first(van(), {kind: Count(96, 48)}).unseen}
    assert before["downpipe"].share == Fraction(12, 100)
    assert after["downpipe"].share == (4 * Fraction(12, 100) + 48) / 100
    assert after["downpipe"].looked == 96
    assert "own record" in after["downpipe"].source
    assert {part for part in before if before[part] != after[part]} == {
        part for part, chance in before.items() if chance.kind == kind
    }


@before_landing
def test_a_record_of_parts_that_all_came_freely_takes_the_looks_away():
    record = {kind: Count(1000, 0) for kind in kind_names()}
    found = look_first(van(), record)
    assert found.looks == ()
    assert found.unseen


def test_every_chance_is_a_chance_and_what_is_out_of_sight_is_no_surer():
    for rule in looks_table()["kind"]:
        assert 0 < rule["open"] <= rule["hidden"] < 1
    assert look_seconds() == 60


def test_the_last_kind_fits_a_part_of_which_nothing_is_known():
    part = machine_of("machine: M\npositions: {here: {}}\nparts: {thing: {}}\n").parts["thing"]
    assert chance_of(part, hidden=False).kind == "other"


def test_the_persons_own_looks_take_over_from_what_is_assumed():
    """Worked on paper: the table has 8 in 10, worth four looks; 16 of one's own showed 8: (3.2 + 8) / 20."""
    assert sees("eye") == Sensitivity("eye", Fraction(8, 10), 0, 0)
    assert sees("eye", {"look by eye": Count(16, 8)}) == Sensitivity("eye", Fraction(56, 100), 16, 8)
    plan = teardown(HAND_WORKED, [("off", "pump")])
    (look,) = look_first(plan, {"look by eye": Count(16, 8), "look by mirror": Count(9, 9)}).unseen
    assert (look.sees, look.alone / look.least_share) == (Fraction(56, 100), Fraction(56, 100) * 1210)


def test_a_hand_feels_for_it_where_the_mirror_is_far_to_fetch():
    text = HAND_WORKED.replace("12 kg", "12 kg\n    seen: [front]").replace("10 s", "4 min")
    often = {"heavy": Count(20, 10)}
    (look,) = look_first(teardown(text, [("off", "pump")]), often).looks
    assert (look.sight.by, look.tool, look.sees) == ("hand", HAND, Fraction(4, 10))
    (look,) = look_first(teardown(text.replace("4 min", "1 s"), [("off", "pump")]), often).looks
    assert (look.sight.by, look.tool) == (MIRROR, MIRROR)


# ---- What nobody has looked at ----

COVERED = """
machine: Pump
positions: {bench: {label: In front of the bench}}
parts:
  cover:
    seen: SEEN
    joints: {screws: {kind: screw, head: 10, count: 4}}
  pump:
    seen: [all round]
    behind: [cover]
    joints: {bolts: {kind: bolt, head: 13}}
"""


@pytest.mark.parametrize(
    ("seen", "left"),
    [
        ("[front]", ("back",)),
        ("[front, above]", ("back", "below")),
        ("[front, rear]", ()),
        ("[all round]", ()),
        ("[+z]", ("-z",)),
        ("[+z, below]", ("above", "-z")),
        ("[mirror]", ()),
    ],
)
def test_who_has_looked_from_one_side_has_not_seen_the_other(seen, left):
    part = machine_of(COVERED.replace("SEEN", seen)).parts["cover"]
    assert sides_left(part) == left


def test_the_way_out_asks_for_its_far_side_where_seen_speaks_of_ways():
    part = machine_of(COVERED.replace("SEEN", "[+x, -x]")).parts["cover"]
    assert sides_left(part) == ()
    assert sides_left(replace(part, out=("+z",))) == ("-z",)


def test_a_part_that_was_seen_all_round_is_not_asked_for():
    plan = teardown(COVERED.replace("SEEN", "[front]"), [("off", "pump")])
    (look,) = look_first(plan).unseen
    assert (look.part, look.sides) == ("cover", ("back",))
    plan = teardown(COVERED.replace("SEEN", "[front, back]"), [("off", "pump")])
    assert look_first(plan).unseen == ()


def test_a_part_that_was_seen_from_one_side_is_half_as_likely_to_surprise():
    plan = teardown(COVERED.replace("SEEN", "[front]"), [("off", "pump")])
    known = look_first(plan).unseen[0].chance
    plan = teardown(COVERED.replace("    seen: SEEN\n", ""), [("off", "pump")])
    assert known.share == look_first(plan).unseen[0].chance.share / 2


def test_what_is_behind_something_takes_a_borescope_and_a_far_side_a_mirror():
    text = COVERED.replace("    seen: [all round]\n", "").replace("SEEN", "[front]")
    tools = {look.part: look.tool for look in look_first(teardown(text, [("off", "pump")])).unseen}
    assert tools == {"cover": MIRROR, "pump": BORESCOPE}


def test_nothing_to_do_is_nothing_to_look_at():
    plan = teardown(COVERED.replace("SEEN", "[front]"), [("reach", "cover")])
    found = look_first(plan)
    assert (found.unseen, found.rounds, found.lifts) == ((), (), {})


# ---- What to check before a lift ----

BARE = """
machine: Things
positions: {here: {label: Here}}
fluids: {coolant: {}}
parts:
  thing:
    LABEL
    joints:
      bolts: {kind: bolt, head: 13, count: 4}
      MORE
"""


def checks(label="seen: [all round]", more=""):
    text = BARE.replace("LABEL", label).replace("      MORE\n", f"      {more}\n" if more else "")
    return {check.what: check for check in before_you_pull(machine_of(text), "thing")}


def test_a_part_that_gives_no_reason_is_asked_for_nothing():
    assert checks() == {}


@pytest.mark.parametrize(
    ("what", "reason", "answer"),
    [
        ("connectors", "label: Starter motor", "plug: {kind: connector}"),
        ("connectors", "subsystem: ignition", "plug: {kind: terminal, head: 10}"),
        ("earth straps", "label: Starter", "earth: {kind: bolt, head: 10}"),
        ("earth straps", "weight: 40 kg", "e: {kind: bolt, head: 10, label: ground lead}"),
        ("hoses and pipes", "wet: [coolant]", "outlet: {kind: hose}"),
        ("clips and ties", "label: Door panel", "edge: {kind: clip, count: 6}"),
        ("dowels or guides", "weight: 40 kg", "pins: {kind: dowel, count: 2}"),
        ("dowels or guides", "renew: [{item: Side gasket}]", "pins: {kind: pin}"),
        ("sealant or a stuck gasket", "wet: [coolant]", "face: {kind: seal}"),
    ],
)
def test_an_item_is_asked_for_a_reason_and_goes_when_the_file_has_the_joint(what, reason, answer):
    reason = f"seen: [all round]\n    {reason}"
    asked = checks(reason)
    assert what in asked
    answered = checks(reason, answer)
    assert what not in answered
    assert set(answered) < set(asked)


@pytest.mark.parametrize(
    ("what", "reason", "answer"),
    [
        ("dowels or guides", "weight: 40 kg", "note: Lift it straight, clear of the dowels."),
        ("sealant or a stuck gasket", "wet: [coolant]", "renew: [{item: Gasket}]"),
        ("sealant or a stuck gasket", "wet: [coolant]", "sealant: {kind: rtv}"),
        ("hidden bolts", "label: Bracket\n    behind: [lid]", "seen: [all round]"),
    ],
)
def test_an_item_goes_when_the_file_says_it_of_the_part(what, reason, answer):
    lid = "\n  lid: {joints: {clip: {kind: clip}}}\n"
    start = "seen: [all round]\n    " if what != "hidden bolts" else ""

    def asked(text):
        machine = machine_of(BARE.replace("LABEL", text).replace("      MORE\n", "") + lid)
        return {check.what for check in before_you_pull(machine, "thing")}

    assert what in asked(start + reason)
    assert what not in asked(f"{start}{reason}\n    {answer}")


def test_a_joint_that_the_part_waits_for_answers_too():
    text = BARE.replace(
        "LABEL", "seen: [all round]\n    label: Starter motor\n    behind: [loom/plug]"
    ).replace("      MORE\n", "")
    machine = machine_of(text + "  loom: {joints: {plug: {kind: connector}}}\n")
    assert "connectors" not in {check.what for check in before_you_pull(machine, "thing")}


def test_the_side_that_nobody_saw_is_named():
    assert checks("seen: [front]")["hidden bolts"].facts == ("back",)


def test_a_part_that_nothing_holds_is_asked_what_holds_it():
    machine = machine_of("machine: M\npositions: {here: {}}\nparts: {thing: {}}\n")
    assert [check.why for check in before_you_pull(machine, "thing")] == [CheckReason.NOTHING_HOLDS]


SIDE_BY_SIDE = """
machine: Boxes
positions: {here: {label: Here}}
parts:
  left:
    seen: [all round]
    box: {at: [0, 0, 0], size: [10, 10, 10]}
    joints: {bolt: {kind: bolt, head: 13}}
  right:
    RELATION
    box: {at: [GAP, 0, 0], size: [10, 10, 10]}
    joints: {bolt: {kind: bolt, head: 13}}
"""


def against(gap, relation="seen: [all round]", gone=()):
    machine = machine_of(SIDE_BY_SIDE.replace("GAP", str(gap)).replace("RELATION", relation))
    return [check.facts for check in before_you_pull(machine, "left", gone)]


def test_a_box_that_stands_against_it_is_asked_about_until_the_file_relates_them():
    assert against(10) == [("right",)]
    assert against(15) == [("right",)]
    assert against(16) == []
    assert against(10, "behind: [left]") == []
    assert against(10, "trapped_by: [left/bolt]") == []
    assert against(10, gone={"right"}) == []


@before_landing
def test_every_lift_of_a_plan_is_asked_what_the_file_leaves_open_once_what_is_off_is_gone():
    found = look_first(van())
    gone = set()
    for step in van().steps:
        op = step.operation
        if op.kind in (Kind.REMOVE, Kind.MOVE_ASIDE):
            assert found.lifts.get(step.number, ()) == before_you_pull(van().machine, op.part, gone)
        else:
            assert step.number not in found.lifts
        if op.kind is Kind.REMOVE:
            gone.add(op.part)


def test_the_guide_has_the_chances_of_the_table():
    page = (Path(__file__).parents[2] / "examples" / "guide" / "looks.md").read_text("utf-8")
    rows = re.findall(r"^\| `([\w-]+)`[^|]*\| (\d+) \| (\d+) \|$", page, re.MULTILINE)
    table = [
        (rule["name"], str(round(rule["open"] * 100)), str(round(rule["hidden"] * 100)))
        for rule in looks_table()["kind"]
    ]
    assert rows == table


def test_what_is_only_known_from_a_type_is_looked_at_before_what_is_known():
    text = (
        "machine: X\nparts:\n  left: {joints: {a: {kind: bolt, head: 10}}}\n"
        "  right: {joints: {a: {kind: bolt, head: 10}}}\n"
        "  lid: {behind: [left, right], joints: {c: {kind: clip}}}\n"
    )
    plain = look_first(teardown(text, [("off", "lid")]))
    marked = look_first(teardown(f"{text}from_type: {{machine: x, unsure: [right]}}\n", [("off", "lid")]))
    before, after = ({look.part: look.chance for look in one.unseen} for one in (plain, marked))
    assert before["left"] == after["left"] == before["right"]
    other = Fraction(str(looks_table()["look"]["from_type"]))
    assert after["right"].share == 1 - (1 - before["right"].share) * (1 - other)
    assert after["right"].label.endswith(", from the type")
