"""An invented cooler that is bled and run before it is closed."""

COOLER = """\
machine: Cooler on a stand, invented for this test
start: front
first: [isolate]
positions:
  front: {}
  under: {enter: 40 s, leave: 30 s, needs: [raise]}
fluids:
  coolant: {volume: 2 L, drain: {time: 60 s, plug: {torque: 20 N.m}}, fill: {time: 60 s}}
tasks:
  isolate: {time: 30 s, undo: {time: 20 s}}
  raise: {time: 2 min, undo: {time: 60 s}}
  bleed: {only: back, label: Bleed it, from: under, behind: [coolant, cap], time: 3 min, note: Cap off}
  run: {only: back, after: [bleed], behind: [coolant, isolate], back_before: [cover], time: 10 min}
parts:
  cover: {joints: {bolts: {kind: bolt, head: 10, count: 4, time: 40 s, torque: 9 N.m}}}
  cap: {joints: {cap: {kind: clip, tool: hand, time: 5 s}}}
  hose: {behind: [cover], wet: [coolant], joints: {clip: {kind: clamp, head: 7, time: 20 s}}}
"""
