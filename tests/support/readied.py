"""Invented sets on stands: a position that asks for tasks and an empty tank, tasks after one another."""

STANDS = """\
machine: Set on stands, invented for this test
start: front
positions:
  front: {}
  under: {enter: 40 s, leave: 30 s, needs: [raise], drained: [rinse]}
fluids:
  rinse: {volume: 1.5 L, drain: {from: front, time: 1 min}, fill: {from: front, time: 1 min}}
tasks:
  raise: {after: [chock], time: 12 min, undo: {time: 3 min}}
  chock: {time: 1 min, undo: {time: 20 s}}
  prop: {from: under, time: 1 min, before: [mount], undo: {from: front}}
parts:
  cover: {joints: {bolts: {kind: bolt, head: 8, count: 8, torque: 9 N.m, time: 20 s}}}
  mount:
    from: under
    behind: [cover]
    joints: {bolts: {kind: bolt, head: 17, torque: 50 N.m, time: 30 s}}
"""

TIPPED = """\
machine: Set on stands that is tipped over, invented for this test
start: front
positions:
  front: {}
  rear: {needs: [turn]}
  under: {enter: 40 s, leave: 30 s, needs: [raise], drained: [rinse, oil]}
tools: {drift: {drive: none}}
fluids:
  rinse: {volume: 1.5 L, drain: {from: front, time: 1 min, plug: {torque: 8 N.m}}, fill: none}
  oil:
    volume: 2 L
    drain: {from: front, time: 2 min, plug: {torque: 25 N.m}}
    fill: {from: rear, time: 1 min}
tasks:
  raise: {after: [chock], time: 12 min, undo: {time: 3 min}}
  chock: {time: 1 min, undo: {time: 20 s}}
  turn: {time: 2 min, undo: {time: 2 min}}
parts:
  cover: {joints: {bolts: {kind: bolt, head: 8, count: 8, torque: 9 N.m, time: 20 s}}}
  mount:
    behind: [cover]
    joints: {pin: {kind: pin, tool: drift, time: 30 s, torque: 12 N.m, fit: {from: under, time: 1 min}}}
  arm:
    rides: {on: mount, with: [nut]}
    joints:
      nut: {kind: nut, head: 13, time: 20 s}
      bolts: {kind: bolt, head: 13, from: under, time: 30 s, torque: 40 N.m}
"""
