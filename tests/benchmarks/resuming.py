"""A discovery in the middle of the van's biggest job: ``python -m tests.benchmarks.resuming --finds 200``.

At a random step of ``--off head`` somebody finds a part that nobody had drawn: 1 to 3 bolts, anywhere, with
any of the van's tools, in front of a part that is still to move or in its way, now and then behind a third.
Printed: how long the new plan takes inside the process, and in how many finds the steps kept their order. A
step is touched by a find when it waits for the new part in the end, or the new part for it.
"""

from __future__ import annotations

import argparse
import random
import time
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from statistics import median

from sequencer.errors import SequencerError
from sequencer.graph import OperationGraph, derive, parse_targets
from sequencer.machine import Machine, load
from sequencer.machine.model import Atom, Joint, Need, Part, Place
from sequencer.machine.trade.relations import OFF, UNDO, barring
from sequencer.plan import plan_teardown
from sequencer.plan.onward.present import Present
from sequencer.plan.resume import replan

VAN = Path(__file__).parents[2] / "models" / "delivery-van.yaml"
PLACE = Place("found on the job", 1, 1)


def with_find(machine: Machine, rng: random.Random, victim: str) -> Machine:
    """The machine with one part more, in front of ``victim`` or in its way."""
    position, tools = rng.choice(list(machine.positions)), list(machine.tools)
    joints = {
        f"hold-{n}": Joint(f"hold-{n}", "find", "bolt", rng.choice(tools), position, Fraction(20), PLACE)
        for n in range(rng.randint(1, 3))
    }
    own: tuple[Need, ...] = ()
    if rng.random() < 0.4:
        other = rng.choice([part for part in machine.parts if part != victim])
        own = (Need((Atom(other),), PLACE, barring(UNDO)),)
    old = machine.parts[victim]
    need = Need((Atom("find"),), PLACE, barring(UNDO if rng.random() < 0.5 else OFF))
    new = replace(old, waits=old.and_for(need))
    find = Part("find", position, Fraction(10), PLACE, joints, waits=own)
    return replace(machine, parts={**machine.parts, victim: new, "find": find})


def touched(graph: OperationGraph, order: list[str]) -> set[str]:
    """The steps that wait for the find in this order, directly or not, and those that it waits for."""
    found = {name for name in order if name.split(" ")[1].startswith("find")}
    asks = {name: {n for clause in graph.needs[name] for n in clause.any_of} & set(order) for name in order}
    waits, wanted = set(found), set(found)
    for _ in order:
        waits |= {name for name in order if asks[name] & waits}
        wanted |= {n for name in wanted for n in asks[name]}
    return waits | wanted


def main() -> None:
    """Find, plan anew, and print the figures."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--finds", type=int, default=200)
    asked = options.parse_args()
    machine = load(VAN)
    targets = parse_targets(machine, ["head"])
    order = [op.name for op in plan_teardown(machine, targets).operations]
    whole, rng = derive(machine), random.Random("finds")
    seconds, wall, kept, untouched, impossible = [], [], 0, 0, 0
    for _ in range(asked.finds):
        count = rng.randrange(len(order) - 5)
        present = Present()
        for name in order[:count]:
            present = present.after(whole, name)
        parts = dict.fromkeys(p for name in order[count:] if (p := whole.operations[name].part))
        found = with_find(machine, rng, rng.choice(list(parts)))
        began, clock = time.process_time(), time.perf_counter()
        try:
            resumed = replan(found, targets, present, order[count:])
        except SequencerError:
            impossible += 1
            continue
        finally:
            seconds.append(time.process_time() - began)
            wall.append(time.perf_counter() - clock)
        kept += not resumed.difference.moved
        after = [op.name for op in resumed.plan.operations]
        free = set(order[count:]) - touched(resumed.plan.graph, after)
        untouched += [n for n in after if n in free] == [n for n in order[count:] if n in free and n in after]
    possible = asked.finds - impossible
    print(f"{asked.finds} finds; {impossible} of them make the target impossible, and are explained")
    print(f"every step kept its order in {kept} of {possible} ({kept / possible:.1%})")
    print(
        f"every step that the find does not touch kept its order in {untouched} ({untouched / possible:.1%})"
    )
    for what, times in (("processor", seconds), ("wall clock", wall)):
        print(f"{what}: median {median(times):.2f} s, most {max(times):.2f} s")


if __name__ == "__main__":
    main()
