"""Each rule finds what it is for, at its line, and is quiet once that is mended as it says."""

import pytest

from sequencer.critic import Code
from tests.critic.verdicts import expected, found
from tests.support.profile import before_landing

RULES = {
    "weight-missing": (
        """
        machine: Mill
        parts:
          motor:  # ! weight-missing
            joints: {feet: {kind: nut, head: 13, count: 4}}
        """,
        ("motor:  #", "motor:\n    weight: 14 kg\n    #"),
    ),
    "held-by-little": (
        """
        machine: Mill
        parts:
          trough:  # ! held-by-little
            weight: 12 kg
            joints: {clips: {kind: clip, count: 2}}
        """,
        ("weight: 12 kg", "weight: 12 kg\n    hold: false"),
    ),
    "no-support": (
        """
        machine: Mill
        positions: {front: {}, under: {label: Lying under the mill}}
        parts:
          gearbox:  # ! no-support
            from: under
            weight: 35 kg
            time: 3 min
            joints: {bolts: {kind: bolt, head: 17, count: 6}}
        """,
        ("parts:", "tasks: {jack: {label: Jack under it, carries: [gearbox], undo: {}}}\nparts:"),
    ),
    "one-person": (
        """
        machine: Mill
        parts:
          hopper-lid:  # ! one-person
            weight: 24 kg
            joints: {bolts: {kind: bolt, head: 13, count: 6}}
        """,
        ("weight: 24 kg", "weight: 24 kg\n    people: 2"),
    ),
    "nothing-carried": (
        """
        machine: Mill
        tasks:
          prop: {label: Prop the motor from below, before: [motor], undo: {}}  # ! nothing-carried
        parts:
          motor: {weight: 14 kg, joints: {feet: {kind: nut, head: 13, count: 4}}}
        """,
        ("before: [motor]", "carries: [motor]"),
    ),
    "stays": (
        """
        machine: Mill
        tasks:
          lock: {label: Lock the flywheel with the pin, serves: [pulley/nut]}  # ! stays
        parts:
          pulley: {joints: {nut: {kind: nut, head: 24, torque: 60 N.m}, key: {kind: key}}}
        """,
        ("serves: [pulley/nut]", "serves: [pulley/nut], undo: {}"),
    ),
    "pose-fluid": (
        """
        machine: Mower
        positions:
          stand: {}
          tipped: {label: Tipped on its side}  # ! pose-fluid
        fluids: {oil: {volume: 0.6 L}}
        parts:
          deck: {from: tipped, joints: {bolts: {kind: bolt, head: 13, count: 3}}}
        """,
        ("{label: Tipped on its side}", "{label: Tipped on its side, drained: [oil]}"),
    ),
    "pose-task": (
        """
        machine: Mower
        positions:
          stand: {}
          turn: {}
          tipped: {label: Tipped on its side, needs: [tip], drained: [oil]}
        fluids: {oil: {volume: 0.6 L}}
        tasks:
          tip: {label: Tip it on its side, from: turn, undo: {label: Stand it up}}  # ! pose-task
        parts:
          deck: {from: tipped, joints: {bolts: {kind: bolt, head: 13, count: 3}}}
        """,
        ("turn: {}", "turn: {drained: [oil]}"),
    ),
    "pose-oil": (
        """
        machine: Mower
        positions:
          stand: {}
          tipped: {label: Tipped on its side}  # ! pose-oil
        parts:
          spark-plug: {joints: {thread: {kind: plug, tool: 16}}}
          deck: {from: tipped, joints: {bolts: {kind: bolt, head: 13, count: 3}}}
        """,
        ("on its side}", "on its side, drained: [oil]}\nfluids: {oil: {volume: 0.6 L}}"),
    ),
    "pose-joints": (
        """
        machine: Washer
        positions: {front: {}, face-down: {label: Face down on a blanket}}
        parts:
          motor:  # ! pose-joints
            weight: 6 kg
            joints: {bolts: {kind: bolt, head: 13, count: 2, from: face-down}}
        """,
        ("joints: {bolts", "joints: {hook: {kind: hook, count: 2}, bolts"),
    ),
    "place-too-early": (
        """
        machine: Washer
        positions:
          front: {}
          behind: {label: Behind the machine}  # ! place-too-early
        tasks:
          out: {label: Pull it out from the wall, undo: {}}
        parts:
          back: {from: behind, joints: {screws: {kind: screw, head: PH2, count: 6}}}
        """,
        ("{label: Behind the machine}", "{label: Behind the machine, needs: [out]}"),
    ),
    "bench-fitted": (
        """
        machine: Washer
        positions: {front: {}, bench: {label: On the bench}}
        parts:
          pump: {weight: 1 kg, joints: {screws: {kind: screw, head: PH2, count: 3}}}
          lid:
            from: bench
            joints:
              clips: {kind: clip, count: 2}  # ! bench-fitted
        """,
        ("from: bench", "from: bench\n    behind: [pump]"),
    ),
    "drain-plug": (
        """
        machine: Gearbox
        fluids:
          oil:  # ! drain-plug
            volume: 1 L
            drain: {tool: 17}
        parts: {cover: {wet: [oil], renew: [Gasket], joints: {bolts: {kind: bolt, head: 10, count: 6}}}}
        """,
        ("{tool: 17}", "{tool: 17, plug: {torque: 30 N.m}}"),
    ),
    "drained-by-hand": (
        """
        machine: Gearbox
        fluids:
          oil:  # ! drained-by-hand
            volume: 1 L
            drain: {plug: {tool: 17, torque: 30 N.m}}
        parts: {cover: {wet: [oil], renew: [Gasket], joints: {bolts: {kind: bolt, head: 10, count: 6}}}}
        """,
        ("{plug:", "{tool: 17, plug:"),
    ),
    "fill-level": (
        """
        machine: Gearbox
        fluids:
          oil: {label: Gear oil}  # ! fill-level
        parts: {cover: {wet: [oil], renew: [Gasket], joints: {bolts: {kind: bolt, head: 10, count: 6}}}}
        """,
        ("{label: Gear oil}", "{label: Gear oil, note: To the middle of the sight glass.}"),
    ),
    "oil-filter": (
        """
        machine: Engine
        fluids:
          oil: {volume: 4 L}  # ! oil-filter
        parts: {filter: {label: Oil filter, wet: [oil], joints: {can: {kind: seal}}, renew: [Oil filter]}}
        """,
        ("{volume: 4 L}", "{volume: 4 L, with: [filter]}"),
    ),
    "not-wet": (
        """
        machine: Engine
        fluids: {coolant: {volume: 4 L}}
        parts:
          top-hose:
            joints:
              radiator-end: {kind: hose}  # ! not-wet
        """,
        ("top-hose:", "top-hose:\n    wet: [coolant]"),
    ),
    "no-fluid": (
        """
        machine: Mower
        parts:
          fuel-line:
            joints:
              tank-end: {kind: hose}  # ! no-fluid
        """,
        ("parts:", "tasks: {tap: {label: Close the fuel tap, before: [fuel-line], undo: {}}}\nparts:"),
    ),
    "wet-plug": (
        """
        machine: Engine
        fluids: {coolant: {volume: 4 L}}
        parts:
          housing:
            wet: [coolant]
            joints:
              sensor: {kind: connector}  # ! wet-plug
              bolts: {kind: bolt, head: 10, count: 3}
          loom: {behind: [housing/sensor], joints: {clips: {kind: clip, count: 2}}}
        """,
        ("wet: [coolant]\n", "\n"),
    ),
    "no-proof": (
        """
        machine: Pump
        fluids:
          water: {volume: 3 L}  # ! no-proof
        parts:
          guard: {joints: {screws: {kind: screw, head: T25, count: 4}}}
          hose: {behind: [guard], wet: [water], joints: {end: {kind: hose}}}
        """,
        ("fluids:", "tasks: {look: {only: back, behind: [water], back_before: [guard]}}\nfluids:"),
    ),
    "no-first-run": (
        """
        machine: Pump
        tasks:
          isolate: {label: Isolate the supply, undo: {label: Supply back on}}  # ! no-first-run
        first: [isolate]
        parts: {guard: {joints: {screws: {kind: screw, head: T25, count: 4}}}}
        """,
        ("first:", "  run: {only: back, behind: [isolate], label: Run it}\nfirst:"),
    ),
    "run-open": (
        """
        machine: Saw
        tasks:
          isolate: {label: Plug out, undo: {label: Plug in}}
          trial: {label: Run it, only: back, behind: [wheel, isolate]}  # ! run-open
        first: [isolate]
        parts: {wheel: {joints: {nut: {kind: nut, head: 24}}}}
        """,
        ("[wheel, isolate]", "[isolate]"),
    ),
    "set-open": (
        """
        machine: Chipper
        tasks:
          gap: {label: Turn the disc by hand, only: back, behind: [disc], back_before: [hood]}  # ! set-open
        parts:
          disc: {behind: [hood], joints: {nut: {kind: nut, head: 24}}}
          hood: {joints: {screws: {kind: screw, head: T25}}}
        """,
        ("Turn the disc", "Turn the shaft without the disc"),
    ),
    "run-dead": (
        """
        machine: Saw
        tasks:
          isolate: {label: Plug out, undo: {label: Plug in}}
          prime: {label: Fill the lines, only: back, behind: [isolate]}
          trial: {label: Run the saw in and out three times, only: back, back_before: [guard]}  # ! run-dead
        first: [isolate]
        parts:
          wheel: {behind: [guard], joints: {nut: {kind: nut, head: 24}}}
          guard: {joints: {screws: {kind: screw, head: T25}}}
        """,
        ("only: back, back_before", "only: back, after: [prime], back_before"),
    ),
    "strut-late": (
        """
        machine: Dumper
        tasks:
          park: {time: 1 min}
          strut: {label: Safety strut over the rod, carries: [skip], rated: true, undo: {}}
        first: [park]
        fluids: {oil: {label: Hydraulic oil, drain: {plug: {torque: 30 N.m}}, volume: 9 L}}  # ! strut-late
        parts:
          skip: {weight: 60 kg, joints: {hinges: {kind: pin, count: 2}}}
          ram: {wet: [oil], needs: [strut], joints: {pins: {kind: pin, count: 2}}}
        """,
        ("[park]", "[park, strut]"),
    ),
    "runs-over": (
        """
        machine: Engine
        fluids: {coolant: {volume: 4 L}, oil: {volume: 3 L}}
        parts:
          head:  # ! runs-over
            label: Cylinder head
            wet: [coolant]
            renew: [Head gasket]
            joints: {bolts: {kind: bolt, head: 14, count: 10}}
        """,
        ("wet: [coolant]", "wet: [coolant, oil]"),
    ),
    "when-alone": (
        """
        machine: Trailer
        tasks: {raise: {label: Onto stands, tool: jack, undo: {label: Down on its wheels}}}
        tools: {jack: {drive: none}}
        parts:
          wheel:
            weight: 12 kg
            joints:
              nuts: {kind: nut, head: 19, count: 4, torque: {value: 90 N.m, when: [raise]}}  # ! when-alone
        """,
        ("tool: jack, undo", "tool: jack, before: [wheel], undo"),
    ),
    "earth-check": (
        """
        machine: Grinder
        parts:
          lead:
            joints:
              earth: {kind: terminal, label: earth wire, head: 8}  # ! earth-check
        """,
        ("lead:", "lead:\n    note: {back: Measure it from pin to case.}"),
    ),
    "off-mark": (
        """
        machine: Grinder
        parts:
          base:  # ! off-mark
            caution: Nobody under it while only a jack holds it.
            joints: {feet: {kind: bolt, head: 8, count: 4}}
        """,
        ("parts:", "tasks: {raise: {label: Jack it up, undo: {}}}\nparts:"),
    ),
    "counter-hold": (
        """
        machine: Pump
        parts:
          impeller:
            joints:
              key: {kind: key}
              nut: {kind: nut, head: 17, torque: 40 N.m}  # ! counter-hold
        """,
        ("parts:", "tasks: {bar: {label: Bar on the shaft, serves: [impeller/nut], undo: {}}}\nparts:"),
    ),
    "crack-hold": (
        """
        machine: Mower
        parts:
          recoil: {label: Recoil starter, joints: {screws: {kind: screw, head: T25, count: 4}}}
          flywheel:
            trapped_by: [recoil]
            joints:
              key: {kind: key}
              nut: {kind: nut, head: 24, torque: 60 N.m, crack: {while: [recoil]}}  # ! crack-hold
        """,
        ("parts:", "tasks: {strap: {label: Strap round it, serves: [flywheel/nut], undo: {}}}\nparts:"),
    ),
    "crack-slack": (
        """
        machine: Saw
        parts:
          motor: {weight: 9 kg, loose: [feet], joints: {feet: {kind: bolt, head: 13, count: 4}}}
          belt: {trapped_by: [{motor: loose}], joints: {}}
          pulley:
            trapped_by: [belt]
            joints:
              key: {kind: key, behind: [pulley/nut]}
              nut: {kind: nut, head: 24, torque: 60 N.m, crack: {while: [belt]}}  # ! crack-slack
        """,
        ("while: [belt]", "while: [belt, motor]"),
    ),
    "holder-away": (
        """
        machine: Mower
        tasks:
          holder: {label: Holding bar on the pulley, before: [pulley/nut], undo: {}}  # ! holder-away
        parts: {pulley: {joints: {nut: {kind: nut, head: 24, torque: 60 N.m}, key: {kind: key}}}}
        """,
        ("before:", "serves:"),
    ),
    "no-taper": (
        """
        machine: Mower
        parts:
          blade-hub:  # ! no-taper
            joints: {bolt: {kind: bolt, head: 17}}
        """,
        ("blade-hub:  #", "blade-hub:\n    note: Two keys hold it.\n    #"),
    ),
    "taper-nut": (
        """
        machine: Mower
        tools: {puller: {label: Two-leg puller}}
        parts:
          flywheel:
            joints:
              nut: {kind: nut, head: 24}
              taper: {kind: taper, tool: puller, fit: {tool: hand}, behind: [flywheel/nut]}  # ! taper-nut
        """,
        ("flywheel:\n", "flywheel:\n    note: The nut stays on flush with the shaft.\n"),
    ),
    "key-first": (
        """
        machine: Mower
        parts:
          flywheel:
            joints:
              nut: {kind: nut, head: 24}
              key: {kind: woodruff key}  # ! key-first
        """,
        ("woodruff key", "woodruff key, behind: [flywheel/nut]"),
    ),
    "tension": (
        """
        machine: Mill
        parts:
          belt:
            joints:
              adjuster: {kind: tensioner, head: 15}  # ! tension
        """,
        ("belt:\n", "belt:\n    note: {back: A thumb presses it in by 10 mm half way.}\n"),
    ),
    "behind-belt": (
        """
        machine: Mill
        parts:
          belt: {note: {back: Deflection 10 mm.}, joints: {idler: {kind: tensioner, head: 15}}}
          pulley:
            behind: [belt]  # ! behind-belt
            joints: {bolts: {kind: bolt, head: 10, count: 4}}
        """,
        ("behind:", "trapped_by:"),
    ),
    "removal-tool": (
        """
        machine: Mill
        tools: {puller: {label: Bearing puller}}
        parts:
          bearing:
            joints:
              seat: {kind: press fit, tool: puller}  # ! removal-tool
        """,
        ("tool: puller}", "tool: puller, fit: {tool: hand}}"),
    ),
    "old-gasket": (
        """
        machine: Pump
        parts:
          cover:  # ! old-gasket
            joints: {bolts: {kind: bolt, head: 10, count: 6}}
          gasket: {label: Cover gasket, behind: [cover]}
        """,
        ("cover:  #", "cover:\n    renew: [Cover gasket]\n    #"),
    ),
    "no-renewal": (
        """
        machine: Pump
        parts:
          cover:  # ! no-renewal
            label: Pump cover
            joints: {bolts: {kind: bolt, head: 10, count: 6}}
        fluids: {water: {volume: 1 L}}
        """,
        ("label: Pump cover", "label: Pump cover\n    renew: [Cover gasket]"),
    ),
    "feet-first": (
        """
        machine: Set
        parts:
          motor:
            weight: 9 kg
            joints:
              feet: {kind: nut, head: 13, count: 4, torque: 20 N.m}  # ! feet-first
              flange: {kind: bolt, head: 13, count: 4, torque: 20 N.m}
        """,
        ("torque: 20 N.m}  #", "torque: 20 N.m, settle: true}  #"),
    ),
    "behind-whole": (
        """
        machine: Set
        fluids: {water: {volume: 1 L}}
        parts:
          inlet-hose: {wet: [water], joints: {pump-end: {kind: hose}, tank-end: {kind: hose}}}
          cover:
            behind: [inlet-hose]  # ! behind-whole
            joints: {screws: {kind: screw, head: PH2, count: 2}}
        """,
        ("behind: [inlet-hose]", "behind: [inlet-hose/pump-end]"),
    ),
    "state-fast": (
        """
        machine: Set
        parts:
          motor:
            weight: 9 kg
            joints: {feet: {kind: nut, head: 13, count: 4}}
            loose:  # ! state-fast
          belt: {behind: [{motor: loose}]}
        """,
        ("loose:  #", "loose: [feet]  #"),
    ),
    "panel-plug": (
        """
        machine: Washer
        parts:
          fascia:
            joints:
              screws: {kind: screw, head: T20, count: 2}
              plugs: {kind: connector, count: 3}  # ! panel-plug
        """,
        ("count: 3}", "count: 3, behind: [fascia/screws]}"),
    ),
    "time": (
        """
        machine: Washer
        parts:
          lid:
            joints:
              screws: {kind: screw, head: T20, count: 6, time: 2 h}  # ! time
        """,
        ("2 h", "2 min"),
    ),
    "seized": (
        """
        machine: Plough
        about: Invented. It has stood in the rain, and all of it is rusty.
        tools: {lever: {label: Lever}}
        parts:
          bush:
            joints:
              seat: {kind: press fit, tool: lever, time: 2 min}  # ! seized
        """,
        ("time: 2 min", "time: 20 to 60 min"),
    ),
}


def dedented(text):
    import textwrap

    return textwrap.dedent(text).strip() + "\n"


@before_landing
@pytest.mark.parametrize("code", RULES)
def test_a_rule_finds_what_it_is_for(code):
    text = dedented(RULES[code][0])
    (where,) = expected(text)
    assert where[1] == code
    assert where in found(text)


@before_landing
@pytest.mark.parametrize("code", RULES)
def test_a_rule_is_quiet_once_that_is_mended(code):
    text, (old, new) = dedented(RULES[code][0]), RULES[code][1]
    assert text.count(old) == 1, "the mend goes to one place"
    assert code not in {one for _, one in found(text.replace(old, new))}


def test_a_bad_place_to_lift_asks_for_a_second_person_sooner():
    parts = "parts: {lid: {weight: 16 kg, joints: {b: {kind: bolt, head: 13}}}}"
    text = f"machine: Box\npositions: {{here: {{label: WHERE}}}}\n{parts}\n"
    assert found(text.replace("WHERE", "Standing at it")) == set()
    assert found(text.replace("WHERE", "Kneeling in front")) == {(3, "one-person")}


def test_a_drain_whose_plug_is_a_part_of_its_own_is_closed_by_it():
    text = dedented(RULES["drain-plug"][0]).replace("{tool: 17}", "{tool: 17, behind: [screw]}")
    screw = "screw: {joints: {it: {kind: KIND, head: 17}}}, cover"
    assert "drain-plug" not in {one for _, one in found(text.replace("cover", screw.replace("KIND", "plug")))}
    assert "drain-plug" in {one for _, one in found(text.replace("cover", screw.replace("KIND", "bolt")))}


OF_AN_ORDER = {
    "half-held",
    "forced",
    "run-propped",
    "on-dowels",
    "hangs-by",
    "spring-last",
    "undone-tight",
    "hung",
    "two-loads",
    "left-hanging",
    "overhead",
    "pose-loose",
    "pose-support",
    "late-torque",
    "frees-nothing",
}
"""Those that need a plan of their own: ``test_orders.py``."""


def test_every_code_has_a_test():
    assert {code.value for code in Code} == set(RULES) | OF_AN_ORDER
