"""The machine on the format page."""

# The example and both figures stand on the machine file's format page.
PAGE = """
machine: Bench pump, two stage
start: bench
pace: {pick_up: 8 s, put_down: 4 s, swap: 7 s, walk: 20 s}
positions:
  bench: {label: At the bench}
  under: {label: Lying underneath, enter: 90 s, leave: 60 s}
walks:
  - [bench, under, 15 s]
tools:
  long-bar: {label: Long flex bar, drive: none}
  hex-6: {label: 6 mm hex key, drive: none}
  jack: {label: Trolley jack, drive: none}
fluids:
  oil:
    volume: 1.2 L
    drain: {from: under, tool: hex-6, time: 6 min, behind: [guard]}
    fill:  {from: bench, time: 4 min}
tasks:
  isolate: {label: Isolate and lock the supply, time: 3 min, undo: {label: Restore the supply, time: 1 min}}
  prop:    {label: Prop the motor, from: under, tool: jack, time: 2 min, before: [mount], undo: {time: 1 min}}
first: [isolate]
parts:
  guard:
    joints:
      screws: {kind: screw, head: T25, count: 6, each: 8 s}
  belt:
    behind: [guard]
    joints:
      tension: {kind: tensioner, tool: long-bar, time: 40 s}
  pulley:
    behind: [guard]
    trapped_by: [belt]
    joints:
      bolts: {kind: bolt, head: 10, count: 4, thread: M6, class: 8.8, torque: 10 N.m, each: 12 s,
              crack: {while: [belt], time: 20 s}}
  motor:
    weight: 14 kg
    joints:
      plug: {kind: connector, time: 10 s}
      feet: {kind: nut, head: 13, count: 2, from: under, thread: M8, class: 8.8, torque: 24 N.m, each: 25 s}
      cap:  {kind: bolt, head: 13, from: under, time: 30 s}
    loose: {joints: [feet], time: 20 s}
  bracket:
    renew: [{item: Bracket gasket, count: 1, price: 4.50}]
    wet: [oil]
    joints:
      near: {kind: bolt, head: 10, count: 3, each: 12 s}
      far:  {kind: bolt, head: 10, behind: [{motor: loose}], time: 25 s}
  mount:
    behind: [{any: [{bracket: off}, {motor: off}]}]
    joints:
      stud: {kind: stud, head: 15, from: under, time: 2 min}
"""
