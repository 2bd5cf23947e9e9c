"""Machines around the library's assemblies, invented, and what is asked of their plans."""

from sequencer.plan.practice.rules import Practice
from tests.plan.assembly_engine import ESTATE, TOP
from tests.plan.jobs import there_and_back

CAR = """\
machine: Light trailer with one driven wheel, invented
include:
  - {assembly: wheel-end, version: 1, as: r, at: hub, with: {raised: raise, beside: beside}}
positions: {front: , beside: , hub: {needs: [raise]}}
tasks:
  raise: {label: Raise it onto stands, time: 8 min, rated: true, after: [r-ease], undo: {label: Let it down}}
parts: {shaft: {from: hub, behind: [r-hub], joints: {clip: {kind: clip}}}}
"""
FAN = """\
machine: Fan, invented
include:
  - {assembly: belt-drive, version: 1, as: d, at: front, with: {stopped: isolate}}
  - {assembly: alternator, version: 1, as: a, at: front, with: {isolated: isolate, way: [d-belt]}}
  - {assembly: plug-in-unit, version: 1, as: u, at: front, with: {dead: isolate}}
  - {assembly: guard-panels, version: 1, as: g, at: back, with: {stopped: isolate}}
positions: {front: , back: {label: At the back of it}}
first: [isolate]
tasks:
  isolate: {label: Isolate and lock the supply, undo: {label: Supply on; a first run with the guard on}}
  try-switch: {label: "Switch tried, opened a hand's breadth: nothing starts", only: back, behind: [isolate]}
parts:
  fan: {weight: 2 kg, behind: [d-pulley], joints: {bolts: {kind: bolt, head: 10, count: 3, torque: 9 N.m}}}
"""
ENGINE = """\
machine: Engine on a stand, invented
include:
  - {assembly: thermostat-housing, version: 1, as: t, at: front, with: {coolant: coolant, way: [duct]}}
  - {assembly: cam-cover, version: 1, as: c, at: front, with: {way: [duct]}}
  - {assembly: sump, version: 1, as: s, at: under, with: {oil: oil}}
  - {assembly: water-pump, version: 1, as: w, at: front, with: {coolant: coolant, way: [duct]}}
  - {assembly: exhaust-manifold, version: 1, as: e, at: {side: front, under: under}}
positions: {front: {label: At the front}, under: {label: Underneath, needs: [raise], below: true}}
fluids:
  coolant: {label: Coolant, volume: 6 L, drain: {from: front, time: 8 min}, fill: {from: front, time: 8 min}}
  oil: {label: Engine oil, volume: 4 L, fill: {from: front, time: 5 min},
        drain: {from: under, time: 8 min, plug: {torque: 30 N.m, thread: M14x1.5, renew: Plug ring}}}
tasks:
  raise: {label: Raise it onto stands, time: 8 min, rated: true, undo: {label: Let it down}}
  run: {label: First run; look for leaks; bleed it, only: back, time: 10 min, behind: [coolant, oil]}
parts: {duct: {label: Air duct, joints: {clips: {kind: clip, count: 2}}}}
"""
MOTOR = """\
machine: Electric motor, invented
include:
  - {assembly: bearing-shaft, version: 1, as: b, at: bench, with: {stopped: isolate, way: [coupling]}}
positions: {bench: {label: At the bench}}
tasks:
  isolate: {label: Isolate and lock the supply, undo: {label: Supply on; a first run by itself}}
first: [isolate]
parts:
  coupling: {label: Coupling half, joints: {screw: {kind: screw, head: allen 4, torque: 6 N.m}}}
"""
PRESS = """\
machine: Press, invented
include:
  - {assembly: flange-pump, version: 1, as: p, at: back,
     with: {stopped: isolate, relieved: relieve, oil: oil}}
positions: {back: {label: At the back}}
fluids: {oil: {label: Hydraulic oil, volume: 10 L, drain: {time: 10 min}, fill: {time: 8 min}}}
tasks:
  isolate: {label: Isolate and lock the supply, undo: {label: Supply on; a first run; look for leaks}}
  relieve: {label: Ram down; pressure off at the valve, after: [isolate], undo: {label: Valve shut}}
first: [isolate]
parts: {lid: {label: Lid, joints: {screws: {kind: screw, head: T25, count: 4}}}}
"""
MACHINES = {
    "wheel-end": CAR,
    "flange-pump": PRESS,
    "alternator": FAN,
    "plug-in-unit": FAN,
    "guard-panels": FAN,
    "belt-drive": FAN,
    "bearing-shaft": MOTOR,
} | dict.fromkeys(("cam-cover", "exhaust-manifold", "sump", "thermostat-housing", "water-pump"), ENGINE)
MACHINES |= dict.fromkeys(("timing-chain", "cylinder-head", "intake", "fuel-rail"), TOP)
MACHINES |= dict.fromkeys(("clutch-joint", "drum-brake", "starter", "timing-belt"), ESTATE)
JOBS = {
    "bearing-shaft": ("b-cover", "b-seal", "b-bearing"),
    "belt-drive": ("d-belt", "d-tensioner", "d-pulley", "fan"),
    "cam-cover": ("c-breather", "c-cover"),
    "clutch-joint": ("c-gearbox", "c-disc", "c-flywheel"),
    "drum-brake": ("l-drum", "l-shoes", "l-cylinder"),
    "guard-panels": ("g-panel", "g-guard"),
    "starter": ("s-cable", "s-starter"),
    "timing-belt": ("t-belt", "t-tensioner", "t-cam-pulley"),
    "cylinder-head": ("h-hose", "h-head"),
    "exhaust-manifold": ("e-shield", "e-manifold"),
    "fuel-rail": ("r-feed", "r-injectors"),
    "intake": ("in-throttle", "in-plenum", "in-lower"),
    "flange-pump": ("p-suction", "p-pressure", "p-pump"),
    "alternator": ("a-cable", "a-alternator"),
    "plug-in-unit": ("u-lid", "u-unit"),
    "sump": ("s-level-plug", "s-pan"),
    "timing-chain": ("k-seal", "k-cover", "k-chain"),
    "thermostat-housing": ("t-hose", "t-housing", "t-thermostat"),
    "water-pump": ("w-hose", "w-pump"),
    "wheel-end": ("r-pads", "r-disc", "r-hub", "r-caliper", "shaft"),
}


def both_ways(text, target):
    removal, refit = there_and_back(text, [("off", target)], practice=Practice.ALL)
    assert removal.proven
    assert refit.proven
    return removal, refit


def comes(order, *these):
    """Whether the operations come in this order, all of them."""
    places = [order.index(one) for one in these]
    return places == sorted(places)
