"""What the critic finds in an order of work, and in nothing but an order."""

from textwrap import dedent

import sequencer
from sequencer.critic import findings
from sequencer.machine.reading import read_text
from tests.critic.verdicts import expected


def judged(text, off, **plan):
    """What a job comes to, both ways: pairs of line and code of the rules for orders."""
    machine = read_text(dedent(text), "machine.yaml").machine
    assert machine is not None
    removal = sequencer.plan_removal(machine, off=off, **plan)
    refit = sequencer.plan_refit(removal)
    without = {(one.place.line, one.code.value) for one in findings(machine)}
    return {(one.place.line, one.code.value) for one in findings(machine, removal, refit)} - without


HANGING = """
machine: Hopper
positions: {front: {}, back: {}}
start: front
parts:
  gate:  # ! left-hanging
    weight: 8 kg
    joints:
      bolts: {kind: bolt, head: 13, count: 2}
      plug: {kind: connector, from: back}
  lid: {trapped_by: [gate/bolts], from: back, joints: {screws: {kind: screw, head: T25, count: 2}}}
"""


def test_a_heavy_part_that_hangs_while_something_else_is_done():
    assert judged(HANGING, ["gate", "lid"], practice="none") == expected(HANGING)
    assert judged(HANGING, ["gate", "lid"]) == set()  # good practice keeps them together


PAN = """
machine: Hopper
positions: {front: {}, under: {label: Lying underneath}}
start: under
parts:
  pan:  # ! overhead
    from: front
    joints: {clips: {kind: clip, from: under, count: 4}}
  chute: {trapped_by: [pan/clips], from: under, joints: {screws: {kind: screw, head: T25, count: 2}}}
"""


def test_a_pan_of_unknown_weight_over_somebody_who_does_something_else():
    assert judged(PAN, ["pan", "chute"]) == expected(PAN)
    held = PAN.replace("    from: front", "    hold: true\n    from: front")
    assert judged(held, ["pan", "chute"]) == set()
    assert judged(PAN.replace("under", "top"), ["pan", "chute"]) == set()


HUNG = """
machine: Knotter
positions: {near: {}, top: {}}
tools: {bar: {drive: none}, loader: {drive: none}}
tasks: {sling: {from: top, tool: loader, carries: [stack], undo: {}}}
parts:
  stack:  # ! hung
    from: top
    weight: 34 kg
    trapped_by: [sprocket]
    joints: {bolts: {kind: bolt, head: 19, from: near}}
  sprocket: {from: near, joints: {nut: {kind: nut, head: 19, time: 2 min}}}
"""


def test_a_part_that_hangs_in_its_sling_while_its_sprocket_is_driven_off():
    assert judged(HUNG, ["stack"]) == expected(HUNG)
    assert judged(HUNG.replace("weight:", "hold: true\n    weight:"), ["stack"]) == set()


BROOM = """
machine: Sweeper
positions: {front: {}, left: {}, right: {}}
start: left
parts:
  broom:  # ! half-held
    from: right
    weight: 22 kg
    trapped_by: [chain]
    joints: {near: {kind: bolt, head: 16, from: left}, far: {kind: bolt, head: 16}}
  chain: {from: right, behind: [cover], joints: {link: {kind: clip}}}
  cover: {from: right, joints: {screws: {kind: screw, head: T25, count: 3}}}
"""


def test_a_broom_that_hangs_on_one_of_its_bearings():
    assert judged(BROOM, ["broom"]) == expected(BROOM)
    assert judged(BROOM.replace("22 kg", "22 kg\n    hold: false"), ["broom"]) == set()
    sits = "22 kg\n    box: {at: [0, 0, 0], size: [9, 9, 9]}\n    out: +z"
    assert judged(BROOM.replace("22 kg", sits), ["broom"]) == set()  # it can only go up: it sits there
    carried = BROOM.replace("parts:", "tasks: {jack: {carries: [broom], undo: {}}}\nparts:")
    assert judged(carried.replace("22 kg", "22 kg\n    hold: true"), ["broom"]) == set()


PUMP = """
machine: Dumper
positions: {front: {}, left: {}}
start: front
parts:
  pump:  # ! hangs-by
    from: left
    weight: 7 kg
    joints:
      bolts: {kind: bolt, head: 16}
      pressure: {kind: union, head: 27}
  motor: {from: left, weight: 14 kg, joints: {bolts: {kind: bolt, head: 16}}}
"""


def test_a_pump_that_hangs_by_its_hose_while_a_motor_is_unbolted():
    assert judged(PUMP, ["pump", "motor"]) == expected(PUMP)
    assert (
        judged(PUMP.replace("head: 16}", "head: 16, behind: [pump/pressure]}", 1), ["pump", "motor"]) == set()
    )
    assert judged(PUMP.replace("weight: 7 kg", "hold: false"), ["pump", "motor"]) == set()


ROLLER = """
machine: Planer
positions: {front: {}, side: {}}
start: side
parts:
  roller:
    weight: 6 kg
    joints:
      far: {kind: bolt, head: 10, from: side}
      near: {kind: bolt, head: 10}
      springs: {kind: spring, tool: hand}  # ! spring-last
"""


def test_a_spring_is_let_go_before_the_bearings_of_its_roller():
    assert judged(ROLLER, ["roller"]) == expected(ROLLER)
    assert judged(ROLLER.replace("side}", "side, behind: [roller/springs]}"), ["roller"]) == set()
    given = ROLLER.replace("tool: hand}", "tool: hand, behind: [roller/far, roller/near]}")
    assert judged(given, ["roller"]) == set()


ELEVATOR = """
machine: Elevator
positions: {head: {}, boot: {}}
start: head
parts:
  take-up:
    from: boot
    joints: {screws: {kind: tensioner, tool: hand, count: 2}}
    loose: [screws]
  belt:
    weight: 30 kg
    hold: false
    trapped_by: [{take-up: loose}]
    joints:
      splice: {kind: bolt, head: 17, crack: {while: [take-up]}}  # ! undone-tight
"""


def test_a_belt_is_parted_once_its_take_up_has_let_go():
    assert judged(ELEVATOR, ["belt"]) == expected(ELEVATOR)
    assert judged(ELEVATOR.replace("hold: false", "hold: true"), ["belt"]) == set()


MIXER = """
machine: Mixer
positions: {front: {}, rear: {enter: 60 s}}
tasks: {trolley: {carries: [head], undo: {}}}
parts:
  head:  # ! on-dowels
    weight: 50 kg
    trapped_by: [pulley]
    joints:
      bolts: {kind: bolt, head: 19}
      rear: {kind: bolt, head: 19, from: rear}
      dowels: {kind: dowel, tool: hand}
  pulley: {from: rear, joints: {key: {kind: key}, nut: {kind: nut, head: 24}}}
"""


def test_a_head_is_unbolted_once_what_keeps_it_there_is_off():
    assert judged(MIXER, ["head"]) == expected(MIXER)
    mended = MIXER.replace("head: 19", "head: 19, behind: [pulley]")
    assert judged(mended, ["head"]) == set()


DOOR = """
machine: Rolling door
positions: {floor: {}, left: {enter: 60 s}, right: {enter: 60 s}}
start: floor
tools: {bars: {drive: none}}
tasks: {lift: {carries: [barrel], undo: {}}}
parts:
  barrel:  # ! forced
    weight: 96 kg
    hold: true
    joints:
      left: {kind: bolt, head: 19, from: left}
      right: {kind: bolt, head: 19, from: right}
  spring: {from: left, trapped_by: [barrel/left], joints: {cone: {kind: spring, tool: bars}}}
"""


def test_no_spring_is_wound_on_a_barrel_that_is_bolted_at_one_end():
    assert judged(DOOR, ["barrel", "spring"]) == expected(DOOR)
    mended = DOOR.replace("hold: true", "hold: true\n    behind: [spring/cone]").replace(
        "trapped_by: [barrel/left], ", ""
    )
    assert judged(mended, ["barrel", "spring"]) == set()


SHUTTER = """
machine: Shutter
positions: {top: {}, floor: {enter: 60 s}}
start: top
fluids: {dampener: {volume: 1 L}}
tasks:
  lift: {from: floor, carries: [barrel], undo: {}}
  run: {label: Run it three times, only: back, behind: [dampener], time: 60}  # ! run-propped
parts:
  barrel: {weight: 30 kg, wet: [dampener], joints: {blocks: {kind: bolt, head: 19}}}
"""


def test_nothing_is_run_with_a_lift_still_under_it():
    assert judged(SHUTTER, ["barrel"]) == expected(SHUTTER)
    assert judged(SHUTTER.replace("behind: [dampener]", "behind: [dampener, lift]"), ["barrel"]) == set()


RAM = """
machine: Dumper
positions: {front: {}, below: {}}
start: below
tasks: {sling: {label: Strap round the ram, carries: [ram], undo: {}}}
parts:
  ram:  # ! half-held
    weight: 16 kg
    joints: {foot: {kind: pin, from: below}, hoses: {kind: union, head: 22}, rod: {kind: pin}}
  tray:
    weight: 1 kg
    trapped_by: [ram/foot]
    from: below
    joints: {screws: {kind: screw, head: T25}, catch: {kind: latch}}
"""


def test_a_ram_that_is_strapped_only_when_its_foot_is_out():
    assert judged(RAM, ["ram", "tray"]) == expected(RAM)
    held = judged(RAM.replace("carries: [ram]", "carries: [ram], before: [ram]"), ["ram", "tray"])
    assert "half-held" not in {code for _, code in held}


SERVED = """
machine: Flywheel
positions: {front: {}}
tools: {bar: {drive: none}, loader: {drive: none}}
tasks:
  sling: {tool: loader, carries: [wheel], undo: {}}
  stop: {tool: bar, serves: [wheel/nut], undo: {}}
parts: {wheel: {weight: 62 kg, joints: {nut: {kind: nut, head: 46}}}}
"""


SLUNG = """
machine: Planer
positions: {front: {}, side: {}}
start: side
tasks: {sling: {from: front, carries: [table], undo: {}}}
parts:
  table:  # ! hangs-by
    weight: 38 kg
    hold: true
    joints:
      gibs: {kind: bolt, head: 17, from: side}
      stop: {kind: bolt, head: 13, settle: true}
  chain: {from: side, trapped_by: [table/gibs], joints: {link: {kind: clip}}}
"""


def test_a_table_that_hangs_in_its_sling_by_its_stop():
    assert judged(SLUNG, ["table", "chain"]) == expected(SLUNG)
    mended = SLUNG.replace("from: side}", "from: side, behind: [table/stop]}", 1)
    assert judged(mended, ["table", "chain"]) == set()


def test_the_putting_away_of_a_helper_is_no_other_work():
    assert judged(SERVED, ["wheel"]) == set()


POSE = """
machine: Stove
positions: {front: {}, side: {label: Tipped on its side}}
start: front
tasks:
  level: {label: Level it with wedges, before: [door], undo: {label: Wedges out}}  # ! pose-support
parts:
  door:  # ! pose-loose
    weight: 6 kg
    joints: {hinges: {kind: pin, count: 2}}
    aside: [hinges]
  foot: {from: side, behind: [{door: aside}], joints: {bolts: {kind: bolt, head: 13, count: 4}}}
"""


def test_a_machine_that_is_tipped_with_a_part_loose_and_its_wedges_in():
    assert judged(POSE, ["foot"]) == expected(POSE)


def test_what_is_tied_and_undone_before_is_not_said():
    mended = POSE.replace("aside: [hinges]", "aside: [hinges]\n    tie: To the frame with a strap").replace(
        "before: [door]", "before: [foot]"
    )
    assert "pose-loose" not in {code for _, code in judged(mended, ["foot"])}


LATE = """
machine: Gearbox
parts:
  cover:  # ! late-torque
    sealant: {kind: rtv, assemble_within: 5 min}
    joints: {bolts: {kind: bolt, head: 10, count: 4, torque: {value: 10 N.m, when: [guard]}}}
  guard: {joints: {screws: {kind: screw, head: T25, count: 30, each: 30 s}}}
"""


def test_a_bead_that_has_set_before_the_last_torque():
    assert judged(LATE, ["cover", "guard"]) == expected(LATE)
    assert judged(LATE.replace("5 min", "40 min"), ["cover", "guard"]) == set()


NOTHING = """
machine: Set
parts:
  motor:
    weight: 9 kg
    joints: {feet: {kind: nut, head: 13, count: 4}}
    loose: [feet]  # ! frees-nothing
  belt: {behind: [motor]}
"""


def test_a_target_for_which_nothing_waits():
    assert judged(NOTHING, ["motor=loose"]) == set()  # the belt waits for the motor
    alone = NOTHING.replace("behind: [motor]", "behind: []")
    assert judged(alone, ["motor=loose"]) == expected(alone)


TWO_LOADS = """
machine: Splitter
tools: {hoist: {drive: none}, second: {drive: none}}
tasks:
  sling-engine: {tool: hoist, carries: [engine], undo: {}}  # ! two-loads
  sling-ram: {tool: hoist, carries: [ram], undo: {}}
parts:
  engine: {weight: 26 kg, hold: true, trapped_by: [ram/bolts], joints: {feet: {kind: bolt, head: 13}}}
  ram: {weight: 29 kg, hold: true, trapped_by: [engine], joints: {bolts: {kind: bolt, head: 17}}}
"""


def test_one_hoist_does_not_hold_two_loads():
    assert judged(TWO_LOADS, ["engine", "ram"]) == expected(TWO_LOADS)
    assert (
        judged(TWO_LOADS.replace("sling-ram: {tool: hoist", "sling-ram: {tool: second"), ["engine", "ram"])
        == set()
    )
