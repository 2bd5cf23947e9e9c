"""An invented engine on which many of the library's assemblies go together."""

TOP = """\
machine: Engine in a frame, invented
include:
  - {assembly: timing-chain, version: 1, as: k, at: {front: front, under: under},
     with: {oil: oil, belt: [d-belt], way: [w-pump], cams: [c-cover]}}
  - {assembly: cam-cover, version: 1, as: c, at: top, with: {way: [in-plenum]}}
  - {assembly: cylinder-head, version: 1, as: h, at: top,
     with: {oil: oil, coolant: coolant, way: [c-cover], tied: [k-cam-sprockets, in-lower, e-manifold/pipe]}}
  - {assembly: intake, version: 1, as: in, at: top, with: {rail: [r-rail], way: [cover], water: coolant}}
  - {assembly: fuel-rail, version: 1, as: r, at: top,
     with: {isolated: isolate, relieved: relieve, way: [in-plenum]}}
  - {assembly: exhaust-manifold, version: 1, as: e, at: {side: top, under: under}}
  - {assembly: belt-drive, version: 1, as: d, at: front, with: {stopped: isolate}}
  - {assembly: water-pump, version: 1, as: w, at: front, with: {coolant: coolant, way: [d-pulley]}}
positions:
  front: {label: At the front}
  top: {label: Over the engine}
  under: {label: On the back underneath, enter: 40 s, leave: 30 s, needs: [raise], below: true}
walks: [[front, top, 5 s], [front, under, 8 s], [top, under, 8 s]]
fluids:
  coolant: {label: Coolant, volume: 6 L, drain: {from: front, time: 8 min}, fill: {from: front, time: 8 min}}
  oil:
    label: Engine oil
    volume: 4 L
    drain: {from: under, again_after: h-head, plug: {torque: 30 N.m, thread: M14x1.5, renew: Plug ring}}
    fill: {from: top, time: 5 min}
    note: {back: To the mark.}
first: [isolate]
tasks:
  isolate: {label: Battery negative off first and tied back, undo: {label: Battery negative on last}}
  relieve: {label: "Tank cap open and on again; rail bled into a jar", time: 10 min, after: [isolate]}
  raise: {label: Raise it onto stands, time: 8 min, rated: true, undo: {label: Let it down}}
  prime:
    label: "Ignition on twice, not started: the rail fills; coupling and injectors looked at"
    only: back
    behind: [isolate]
    back_before: [cover]
  run: {label: First run until it is warm; bleed it; look for leaks, only: back, time: 20 min, after: [prime],
        behind: [oil, coolant, isolate], back_before: [cover]}
parts:
  cover: {label: Engine cover, from: top, joints: {pegs: {kind: clip, count: 4}}}
  e-manifold: {rides: {on: h-head, with: [nuts]}}
"""

ESTATE = """\
machine: Estate car, invented
include:
  - {assembly: clutch-joint, version: 1, as: c, at: under,
     with: {isolated: isolate, engine: engine, way: [propshaft, s-starter], oil: gear-oil}}
  - {assembly: starter, version: 1, as: s, at: under, with: {isolated: isolate}}
  - {assembly: drum-brake, version: 1, as: l, where: left rear, at: arch,
     with: {raised: raise, beside: beside}}
  - {assembly: timing-belt, version: 1, as: t, at: front, with: {belt: [fan-belt], plugs: [spark-plugs]}}
positions:
  front: {label: At the front with the bonnet up}
  beside: {label: Beside the left rear wheel}
  arch: {label: Kneeling at the left rear wheel, needs: [raise]}
  under: {label: Lying underneath, enter: 40 s, leave: 30 s, needs: [raise], below: true}
fluids:
  gear-oil:
    label: Gear oil
    volume: 1.5 L
    drain: {from: under, plug: {torque: 30 N.m, thread: M18x1.5, renew: Plug ring}}
    fill: {from: under, time: 6 min}
    note: {back: Until it runs out at its level plug.}
tools: {bar: {label: Long flex bar, drive: none}, plug-socket: {label: Spark-plug socket, drive: ratchet}}
tasks:
  isolate:
    label: Battery negative off first and tied back
    undo: {label: "Battery negative on last; clutch, starter and brake tried before it drives"}
  chock: {label: Chock the front wheels, undo: {label: Chocks away}}
  raise: {label: Raise it onto stands, rated: true, after: [chock, l-ease], undo: {label: Let it down}}
parts:
  fan-belt: {label: Fan belt, joints: {tension: {kind: tensioner, tool: bar}}}
  spark-plugs: {joints: {plugs: {kind: plug, tool: plug-socket, count: 4, torque: 25 N.m}}}
  propshaft:
    label: Propshaft
    from: under
    weight: 9 kg
    wet: [gear-oil]
    joints: {bolts: {kind: bolt, head: 13, count: 4, thread: M8, class: 10.9, torque: 32 N.m}}
    note: {in: Its flanges are marked to each other.}
  engine:
    label: Engine
    weight: 130 kg
    joints: {mounts: {kind: nut, head: 18, count: 2, thread: M12, class: 8, torque: 70 N.m}}
"""
