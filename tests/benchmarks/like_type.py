"""From a type to a plan for one's own machine: how many answers, and is the plan right on the real one?

For each type five real machines that differ from it (``like_variants``, written down before any question),
and somebody before each who answers truthfully, once knowing all and once not knowing a quarter of what is
asked. The plan from the file that comes of it is done on the real machine: what is not there is passed over.
It is feasible if nothing is then in the way of anything and the target comes off; its time is what it takes
there, beside the best that there is for that machine. The plans are those of the file alone, without good
practice.

    .venv/bin/python -m tests.benchmarks.like_type                 # all
    .venv/bin/python -m tests.benchmarks.like_type --few           # the small machines
"""

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from sequencer.graph import Kind, OperationGraph, derive, goals, narrowed, parse_targets
from sequencer.machine import load, read_text
from sequencer.machine.library import find
from sequencer.machine.model import Machine
from sequencer.plan import plan_teardown
from sequencer.plan.like import begin_survey
from sequencer.plan.order.naive import first_ways
from sequencer.plan.order.replay import replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Totals
from tests.benchmarks.like_person import Person
from tests.benchmarks.like_variants import Variant, machine_of, variants

EXAMPLES = Path(__file__).parents[2] / "examples"
FEW = ((str(EXAMPLES / "bench-pump.yaml"), "seal"), (str(EXAMPLES / "yard-tug.yaml"), "right-disc"))
TYPES = (
    ("delivery-van", "water-pump"),
    ("garden-tractor", "lower-bearing-left"),
    ("washing-machine", "bearing-rear"),
    ("diesel-inboard", "tube-stack"),
)
LOST = Fraction(1, 4)


@dataclass(frozen=True)
class Outcome:
    """What came of one survey.

    Attributes:
        wrong: What makes the plan impossible on the real machine; nothing where it is feasible.
        ratio: Its time there by the best time; None where it is not feasible.
    """

    variant: Variant
    answers: int
    wrong: str
    ratio: Fraction | None
    unsure: int
    seconds: float


def touched(machine: Machine, target: str) -> list[str]:
    """The parts that a job touches."""
    whole = derive(machine)
    graph, wanted = narrowed(whole, goals(whole, parse_targets(machine, [target])))
    ways = first_ways(graph, wanted)
    parts = [op.part for name, op in graph.operations.items() if name in ways and op.part]
    return list(dict.fromkeys(parts))


def outcomes(like: str, target: str, lost: Fraction, many: int = 5) -> Iterator[Outcome]:
    """Each real machine of a type, asked about and planned for."""
    path = find(Path(like))
    kind = load(path)
    for number, variant in enumerate(variants(path, target, touched(kind, target), many)):
        survey = begin_survey(None, like, [target])
        begun = time.process_time()
        answers = Person(kind, variant, random.Random(f"{like} {number} {lost}"), lost).answers(survey)
        took = time.process_time() - begun
        reading = read_text(survey.machine_text())
        assert reading.machine is not None
        assert not reading.faults, [str(one) for one in reading.faults]
        plan = plan_teardown(reading.machine, parse_targets(reading.machine, [target]))
        order = [op.name for op in plan.operations]
        yield _on_the_real_one(variant, target, order, answers, len(reading.machine.from_type.unsure), took)


def _on_the_real_one(
    variant: Variant, target: str, order: Sequence[str], answers: int, unsure: int, took: float
) -> Outcome:
    real = machine_of(variant)
    whole = derive(real)
    targets = parse_targets(real, [target])
    wanted = goals(whole, targets)
    names = list(_as_done(order, whole, set(load_labels(variant))))
    wrong = _faults(whole, names)
    done = set(names)
    wrong += [f"{clause.any_of[0]} is missing" for clause in wanted if done.isdisjoint(clause.any_of)]
    if wrong:
        return Outcome(variant, answers, wrong[0], None, unsure, took)
    own = Totals.of(replay(whole, names, Changes.of(real))).seconds
    best = plan_teardown(real, targets).totals.seconds
    return Outcome(variant, answers, "", own / best, unsure, took)


def load_labels(variant: Variant) -> list[str]:
    """Parts that the type has not got."""
    return [label.lower().replace(" ", "-") for label in variant.extras]


def _as_done(order: Sequence[str], real: OperationGraph, own: set[str]) -> Iterator[str]:
    """The plan's operations, those that there are; what holds a part of its own is as it is there."""
    for name in order:
        verb, _, subject = name.partition(" ")
        part = subject.partition("/")[0]
        if name in real.operations:
            yield name
        elif part in own and verb == "undo":
            yield from (Kind.UNDO.of(one.path) for one in real.machine.parts[part].joints.values())


def _faults(real: OperationGraph, names: Sequence[str]) -> list[str]:
    """What stands in the way of doing these operations in this order."""
    done: set[str] = set()
    chosen = set(names)
    wrong = []
    for name in names:
        wrong += [
            f"{name} before {clause.any_of[0]}"
            for clause in real.needs[name]
            if done.isdisjoint(clause.any_of)
        ]
        wrong += [
            f"{name} before {rule.before}"
            for rule in real.orders
            if rule.after == name and rule.before in chosen and rule.before not in done
        ]
        done.add(name)
    return wrong + [f"{name} is left out" for name in real.called(chosen)]


def main() -> None:
    """Print every machine, and what came of all."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--few", action="store_true", help="only the small machines")
    parser.add_argument("--type", action="append", metavar="TYPE=PART", help="these instead")
    asked = parser.parse_args()
    types = [tuple(one.split("=", 1)) for one in asked.type or ()] or (FEW if asked.few else TYPES)
    for lost in (Fraction(0), LOST):
        print(f"\ndon't know: {float(lost):.0%} of the questions")
        found = []
        for like, target in types:
            for one in outcomes(like, target, lost):
                found.append(one)
                how = one.wrong or f"{float(one.ratio or 0):.3f} × the best"
                what = f"  {Path(like).stem:14} {target:12} {one.answers:3} answers  {one.unsure:3} unsure"
                print(f"{what}  {how:40} {one.seconds:5.1f} s  {one.variant.words}", flush=True)
        good = [one for one in found if one.ratio is not None]
        near = [one for one in good if one.ratio is not None and one.ratio <= Fraction(11, 10)]
        most = max(one.answers for one in found)
        mean = sum(one.answers for one in found) / len(found)
        print(
            f"  {len(found)} machines: {mean:.1f} answers, at most {most}; feasible {len(good)}; "
            f"within 10 % {len(near)}"
        )


if __name__ == "__main__":
    main()
