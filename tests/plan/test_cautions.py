"""Each caution once for each thing that it is about, at the step where it first matters."""

from dataclasses import replace

import pytest

from sequencer.document.steps.notes import notes
from sequencer.machine.reading import read_text
from sequencer.plan.hazards.cautions import cautions, notice
from sequencer.plan.practice.rules import Practice
from tests.plan.jobs import names, there_and_back

MACHINE = """
machine: Cautions
positions:
  bench: {label: At the bench}
  under: {label: On the creeper underneath, caution: Rated stands only.}
fluids:
  oil: {volume: 1 L, drain: {from: under, time: 60}, fill: {time: 60}, caution: Hot oil burns.}
tasks:
  mark: {label: Mark it, time: 5, before: [gearbox], caution: Two marks., undo: {label: Wipe it off, time: 5}}
parts:
  strap: {joints: {spring: {kind: spring, tool: hand, time: 5}}}
  gearbox:
    from: under
    behind: [strap]
    wet: [oil]
    weight: 31 kg
    caution: [Keep it level., Mind the shaft.]
    joints:
      bolts: {kind: bolt, head: 13, count: 2, time: 30, caution: The long one is at the top.}
      plug: {kind: connector, time: 5}
  tray: {weight: 19 kg, joints: {j: {kind: clip, time: 5}}}
"""
TARGETS = [("off", "gearbox"), ("off", "tray")]


@pytest.fixture(scope="module")
def plans():
    return there_and_back(MACHINE, TARGETS)


def shown(plan):
    """(operation, text, source), in order."""
    at = cautions(plan)
    return [(plan.steps[n - 1].operation.name, c.text, c.source) for n, found in at.items() for c in found]


def where(plan, text):
    return [name for name, said, _ in shown(plan) if said == text]


@pytest.mark.parametrize("way", [0, 1])
def test_no_text_is_shown_twice_for_one_thing(plans, way):
    plan = plans[way]
    things = [(op.part or op.subject, op.name) for op in plan.operations]
    about = {name: thing for thing, name in things}
    told = [(about[name], text) for name, text, _ in shown(plan)]
    assert len(told) == len(set(told))


@pytest.mark.parametrize("way", [0, 1])
@pytest.mark.parametrize(
    "text",
    [
        "Rated stands only.",
        "Hot oil burns.",
        "Two marks.",
        "Keep it level.",
        "Mind the shaft.",
        "The long one is at the top.",
    ],
)
def test_every_caution_of_the_file_is_shown_once_with_its_source(plans, way, text):
    assert len(where(plans[way], text)) == 1
    assert {source for _, said, source in shown(plans[way]) if said == text} == {"file"}


def test_a_caution_stands_at_the_first_step_that_it_is_about(plans):
    way_in, way_back = plans
    for plan in plans:
        steps = names(plan)
        first = next(op.name for op in plan.operations if op.part == "gearbox")
        assert where(plan, "Keep it level.") == [first]
        assert where(plan, "Rated stands only.") == [
            next(op.name for op in plan.operations if op.position == "under")
        ]
        assert steps.index(where(plan, "The long one is at the top.")[0]) == min(
            steps.index(name) for name in steps if name.endswith("gearbox/bolts")
        )
    assert where(way_in, "Two marks.") == ["task mark"]
    assert where(way_back, "Two marks.") == ["restore mark"]
    assert where(way_in, "Hot oil burns.") == ["drain oil"]
    assert where(way_back, "Hot oil burns.") == ["fill oil"]


def test_a_heavy_part_is_said_to_be_heavy_before_it_comes_free(plans):
    text = "31 kg: take it with a second person or a hoist."
    assert where(plans[0], text) == ["undo gearbox/bolts"]
    assert where(plans[1], text) == ["fit gearbox"]
    assert not [said for plan in plans for _, said, _ in shown(plan) if said.startswith("19 kg")]


@pytest.mark.parametrize(
    ("weight", "at"),
    [(31, "undo block/lower"), (310, "undo block/upper"), (19, None)],
)
def test_a_hoist_is_called_for_before_the_first_joint_that_bears_and_a_helper_before_the_last(weight, at):
    text = f"""
machine: A block
positions: {{bench: {{label: At the bench}}}}
parts:
  block:
    weight: {weight} kg
    joints:
      plug: {{kind: connector, time: 5}}
      upper: {{kind: bolt, head: 13, time: 5, behind: [block/plug]}}
      lower: {{kind: bolt, head: 13, time: 5, behind: [block/upper]}}
      earth: {{kind: terminal, time: 5, behind: [block/lower]}}
"""
    into, back = there_and_back(text, [("off", "block")])
    told = [name for name, said, _ in shown(into) if said.startswith(f"{weight} kg: ")]
    assert told == ([at] if at else [])
    assert bool(at) == any(
        name == "fit block" for name, said, _ in shown(back) if said.startswith(f"{weight} kg")
    )


def test_a_lead_of_the_plug_that_is_pulled_first_keeps_the_engine_from_starting():
    text = """
machine: A mower
first: [lead]
positions: {bench: {label: At the bench}}
tasks: {lead: {label: Pull the spark-plug lead and tie it back, time: 5}}
parts: {blade: {label: Mower blade, joints: {nut: {kind: nut, head: 17, time: 5}}}}
"""
    into, _ = there_and_back(text, [("off", "blade")])
    assert not starts(into)


def test_the_usual_cautions_come_by_kind_of_joint_fluid_and_position(plans):
    way_in, way_back = plans
    usual = {
        (name, text.split(":")[0]) for name, text, source in shown(way_in) if source == "common practice"
    }
    told = {(name, text) for name, text, source in shown(way_in) if source != "file"}
    assert ("undo strap/spring", "Under spring load") in usual
    assert [text for name, text in told if name == "drain oil"] == [
        "Catch all of it. Gloves: used oil on the skin does harm. Hand it in as used oil, unmixed."
    ]
    assert not [text for _, text in told if text.startswith(("Under anything raised", "Hot oil burns:"))]
    assert any(text.startswith("Use the grade in the maker's manual") for _, text, _ in shown(way_back))


BAR = """
machine: A bar
positions:
  bench: {label: At the bench, note: The vice is oiled.}
  under: {caution: {in: Mind the edge., back: Mind your head.}, note: {back: The lamp hangs left.}}
tools:
  bar: {caution: It springs back., note: {in: The one with the bent end., back: Lay it flat.}}
  jack: {caution: Never alone.}
parts:
  cover: {joints: {a: {kind: clip, time: 5}}}
  idler:
    from: under
    behind: [cover]
    joints:
      bolt: {kind: bolt, tool: bar, time: 5, torque: 20 N.m}
      stay: {kind: bolt, tool: bar, time: 5, torque: 20 N.m, behind: [idler/bolt]}
"""


def test_what_is_said_of_a_tool_stands_at_the_first_step_with_it_also_on_the_torque_wrench():
    way_in, way_back = there_and_back(BAR, [("off", "idler")])
    assert where(way_in, "It springs back.") == ["undo idler/bolt"]
    assert where(way_back, "It springs back.") == [
        next(step.operation.name for step in way_back.steps if "bar" in step.operation.tool)
    ]
    assert not where(way_in, "Never alone.")
    torques = [step for step in way_back.steps if step.operation.name.startswith("torque")]
    told = [one.text for found in cautions(way_back, torques).values() for one in found]
    assert [text for text in told if text in BAR] == ["Mind your head.", "It springs back."]


def test_notes_of_places_and_tools_stand_at_the_first_step_there_and_with_them():
    way_in, way_back = there_and_back(BAR, [("off", "idler")])
    at = {plan.back: notes(plan) for plan in (way_in, way_back)}
    assert [text for texts in at[False].values() for text in texts] == [
        "The vice is oiled.",
        "The one with the bent end.",
    ]
    told = {text: way_in.steps[n - 1].operation.name for n, texts in at[False].items() for text in texts}
    assert told == {
        "The vice is oiled.": "undo cover/a",
        "The one with the bent end.": "undo idler/bolt",
    }
    told = {text: way_back.steps[n - 1].operation for n, texts in at[True].items() for text in texts}
    assert set(told) == {"The lamp hangs left.", "Lay it flat."}
    assert told["The lamp hangs left."] == next(op for op in way_back.operations if op.position == "under")
    assert told["Lay it flat."] == next(op for op in way_back.operations if "bar" in op.tool)


PLANT = """
machine: A plant
positions: {bench: {label: At the bench}}
tasks:
  run: {label: Run the engine warm, time: 600, behind: [silencer], before: [downpipe]}
parts:
  first-hose: {label: Petrol hose, joints: {clamp: {kind: clamp, time: 5}, end: {kind: hose, time: 5}}}
  second-hose: {label: Fuel return pipe, joints: {clamp: {kind: clamp, time: 5}}}
  silencer: {label: Silencer, caution: Let the exhaust go cold., joints: {nuts: {kind: nut, time: 5}}}
  downpipe: {label: Down-pipe, joints: {nuts: {kind: nut, time: 5}}}
  recoil:
    label: Recoil starter
    joints: {screws: {kind: screw, time: 5, caution: The spring flies out. Let it back slowly.}}
  block:
    label: Block
    weight: 31 kg
    caution: [31 kg. A second person or a hoist., 31 kg; it tips as the first bolt goes. Two people.]
    joints: {side: {kind: bolt, time: 5}, bolts: {kind: bolt, time: 5, behind: [block/side]}}
"""


@pytest.fixture(scope="module")
def plant():
    names_ = ("first-hose", "second-hose", "silencer", "downpipe", "recoil", "block")
    return there_and_back(PLANT, [("off", name) for name in names_])


def test_what_was_said_in_full_of_one_thing_is_recalled_in_few_words_of_the_next(plant):
    told = [one for found in cautions(plant[0]).values() for one in found if one.text.startswith("Fuel")]
    assert [one.text.split(":")[0] for one in told] == ["Fuel", "Fuel again"]
    assert told[1].whole == told[0].text


def test_on_the_way_back_a_fuel_joint_is_looked_at_for_leaks_and_has_no_pressure_to_relieve(plant):
    told = [text for _, text, _ in shown(plant[1]) if text.startswith("Fuel")]
    assert [text.split(":")[0] for text in told] == ["Fuel", "Fuel again"]
    assert all("leaks" in text and "no flame or spark" in text for text in told)
    assert not any("relieve" in text for text in told)


def test_all_is_said_in_full_again_in_the_next_sitting(plant):
    plan = plant[0]
    hoses = [step.number for step in plan.steps if (step.operation.part or "").endswith("hose")]
    again = cautions(plan, sittings={max(hoses)})
    told = [one.text for found in again.values() for one in found if one.text.startswith("Fuel")]
    assert not any(text.startswith("Fuel again") for text in told[-1:])


def test_a_machine_that_is_run_is_hot_again(plant):
    told = {
        name for name, text, _ in shown(plant[0]) if text == "Let the exhaust go cold before you touch it."
    }
    assert any("downpipe" in name for name in told)
    assert not any("silencer" in name for name in told)


def test_where_the_file_warned_at_a_joint_the_part_is_not_warned_of_once_more(plant):
    spring = [text for _, text, _ in shown(plant[0]) if "spring" in text.lower()]
    assert spring == ["The spring flies out. Let it back slowly."]


def test_a_files_words_on_a_weight_stand_where_it_comes_free_and_what_tips_before_the_first_joint(plant):
    assert where(plant[0], "31 kg. A second person or a hoist.") == ["undo block/bolts"]
    assert where(plant[0], "31 kg; it tips as the first bolt goes. Two people.") == ["undo block/side"]
    assert where(plant[1], "31 kg. A second person or a hoist.") == ["fit block"]
    assert not [text for plan in plant for _, text, _ in shown(plan) if text.startswith("31 kg: take it")]


def test_the_notice_defers_to_the_makers_manual():
    assert "maker's manual" in notice()


def test_an_injectors_plug_is_no_work_on_fuel():
    rail = """
machine: A rail
positions: {bench: {label: At the bench}}
parts:
  injectors:
    joints:
      plugs: {kind: connector, time: 5}
      rail: {kind: clip, time: 5}
"""
    way_in, _ = there_and_back(rail, [("off", "injectors")])
    said = {names(way_in)[n - 1]: [c.text for c in found] for n, found in cautions(way_in).items()}
    told = [op for op, texts in said.items() if any(text.startswith("Fuel:") for text in texts)]
    assert told == ["undo injectors/rail"]


WAYS = """
machine: Cautions by ways
positions: {bench: {caution: {back: The lamp is hot by now.}}}
parts:
  loom:
    caution: {in: Tag each plug., back: [No plug left over., No clip forgotten.]}
    note: {in: Read the tags., back: The clip ends face the wall.}
    joints:
      plug: {kind: connector, time: 5, note: [Press the tab., Then pull.], caution: Hot.}
      clip: {kind: clip, time: 5}
"""


def test_a_text_stands_on_its_way_alone():
    into, back = there_and_back(WAYS, [("off", "loom")])
    own = [[text for _, text, source in shown(plan) if source == "file"] for plan in (into, back)]
    assert own[0] == ["Tag each plug.", "Hot."]
    assert own[1] == ["The lamp is hot by now.", "No plug left over.", "No clip forgotten.", "Hot."]


def test_a_plain_note_belongs_to_the_way_in_and_a_parts_own_stands_over_its_first_joint():
    into, back = there_and_back(WAYS, [("off", "loom")])
    assert notes(into) == {1: ("Read the tags.", "Press the tab.", "Then pull.")}
    assert into.steps[0].operation.name == "undo loom/plug"
    assert notes(back) == {1: ("The clip ends face the wall.",)}


@pytest.mark.parametrize(
    ("said", "fault"),
    [
        ("{out: Hot.}", "`out` is not a key of a text by ways"),
        ("{in: [[Hot.]]}", "a name or text is wanted here, and this is a list"),
        ("[Hot., {back: Cold.}]", "a name or text is wanted here, and this is a mapping"),
    ],
)
@pytest.mark.parametrize("key", ["caution", "note"])
def test_what_is_no_text_is_refused_in_its_line(key, said, fault):
    text = f"machine: M\nparts:\n  a:\n    {key}: {said}\n    joints: {{j: {{kind: clip}}}}\n"
    faults = [str(one) for one in read_text(text, "m.yaml").faults]
    assert len(faults) == 1
    assert faults[0].startswith("m.yaml:4:")
    assert fault in faults[0]


def test_a_tie_of_what_is_never_moved_aside_is_refused():
    text = "machine: M\nparts:\n  a:\n    tie: To the rail.\n    joints: {j: {kind: clip}}\n"
    (fault,) = read_text(text, "m.yaml").faults
    assert str(fault).startswith("m.yaml:4:5: `a` is never moved aside")


def test_all_is_said_again_to_somebody_who_comes_back_another_day(plans):
    last = len(plans[0].steps)
    once, again = cautions(plans[0]), cautions(plans[0], sittings={last})
    assert not {caution.text for caution in again[last]} <= {c.text for c in once.get(last, ())}


LOCKED = """
machine: A conveyor
first: [isolate]
positions: {bench: {label: At the bench}}
tasks:
  isolate: {label: Isolate the supply and lock it, time: 5, undo: {label: Supply on, time: 5}}
  look: {label: Look at the belt, time: 5, before: [guard], undo: {label: Look at the drive belt, time: 5}}
parts:
  guard: {label: Belt guard, joints: {screws: {kind: clip, time: 5}}}
"""


@pytest.fixture(scope="module")
def locked():
    return there_and_back(LOCKED, [("off", "guard")])


def starts(plan, steps=None):
    told = {n: [one.text for one in found] for n, found in cautions(plan, steps).items()}
    return [n for n, texts in told.items() if any(text.startswith("It may start") for text in texts)]


def test_what_is_locked_off_for_the_whole_job_is_not_said_of_each_part(locked):
    assert not starts(locked[0])


def test_a_lock_that_somebody_put_on_before_counts_and_one_that_was_left_out_does_not(locked):
    rest = replace(locked[0], steps=locked[0].steps[1:], earlier=("task isolate",))
    assert not starts(rest)
    assert starts(replace(rest, skipped=("task isolate",)))


def test_a_lock_that_is_off_again_counts_no_more(locked):
    back = locked[1]
    assert not starts(back)
    on = next(step for step in back.steps if step.operation.name == "restore isolate")
    first = replace(back, steps=(replace(on, number=0), *(one for one in back.steps if one is not on)))
    assert starts(first)
    assert starts(
        replace(back, earlier=("restore isolate",), steps=tuple(s for s in back.steps if s is not on))
    )


def recalled(plan, sittings=()):
    at = cautions(plan, sittings=sittings)
    return [n for n, found in at.items() for one in found if one.text.startswith("May start")]


def test_that_a_machine_may_start_is_said_before_the_first_touch_and_recalled_at_the_belt():
    way_in, way_back = there_and_back(LIVE, [("off", "belt")])
    belt = next(step.number for step in way_in.steps if step.operation.part == "belt")
    assert (starts(way_in), recalled(way_in)) == ([1], [belt])
    assert (starts(way_back), recalled(way_back)) == ([1], [])  # the belt itself is first


def test_it_is_said_again_on_another_day_and_not_at_each_step_of_a_job_under_way():
    plan, _ = there_and_back(LIVE, [("off", "belt")])
    belt = next(step.number for step in plan.steps if step.operation.part == "belt")
    told = cautions(plan, sittings={2})
    assert [n for n, found in told.items() if any("It may start" in one.text for one in found)] == [1, 2]
    under_way = replace(plan, steps=plan.steps[1:], earlier=(plan.steps[0].operation.name,))
    assert starts(under_way) == [belt]


LIVE = """
machine: Mixer
parts:
  guard: {joints: {screws: {kind: screw, head: PH2, time: 5}}}
  belt: {label: Drive belt, behind: [guard], joints: {tension: {kind: clip, time: 5}}}
"""


OPEN = """
machine: Saw
tasks:
  isolate: {label: Plug out, time: 5, undo: {label: Plug in, time: 5}}
first: [isolate]
parts:
  cover: {joints: {screws: {kind: screw, head: PH2, time: 5}}}
  belt: {behind: [cover], joints: {tension: {kind: clip, time: 5}}}
"""
TRIAL = "  trial: {label: Run it, time: 5, only: back, behind: [isolate], back_before: [cover]}\nfirst:"


def still_off(plan):
    return [(name, said.partition(".")[0]) for name, said, _ in shown(plan) if said.startswith("Still off")]


def test_what_is_still_off_when_the_power_comes_back_is_said_there():
    assert still_off(there_and_back(OPEN, [("off", "belt")])[1]) == []
    back = there_and_back(OPEN.replace("first:", TRIAL), [("off", "belt")], practice=Practice.ALL)[1]
    assert still_off(back) == [("restore isolate", "Still off: cover")]
    assert names(back)[-3:] == ["task trial", "fit cover", "fasten cover/screws"]
