"""What each piece of the engine is worth: the same jobs without it, side by side in one run.

    python -m tests.benchmarks.ablation
    python -m tests.benchmarks.ablation --pieces probe needless --rows 60 100 --seconds 20
    python -m tests.benchmarks.ablation --published FOLDER --rows ESC br17 van

Each row is a job, each column the engine without one piece; a cell holds the seconds of processor time to the
proof, or the gap that was left at the limit, and an exclamation mark where the answer costs more than with
all. Times are of the processor, so that other work on the machine does not count. Rows are generated jobs
(see ``generator``), with alternatives behind the plus; ``again``: a second question with one target more;
published sequential ordering instances, if they are at hand; machines under good practice, in and back. What
came of it is in ``ablation.md``. Some pieces tell on one row alone: the van belongs to every run.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from pathlib import Path
from unittest.mock import patch

from sequencer.engine import Limits, Problem, ask, solve
from sequencer.plan.order.patience import limits
from sequencer.plan.plan import Refit, Teardown
from sequencer.plan.practice.rules import Practice
from sequencer.plan.refit import plan_refit
from tests.benchmarks.generator import generate
from tests.benchmarks.practice import JOBS as MACHINES
from tests.benchmarks.table import PUBLISHED, without_a_leaf
from tests.engine.sop import FOLDER, read
from tests.engine.variants import with_goal
from tests.plan.jobs import teardown

GENERATED: dict[str, tuple[int, int, int]] = {
    **{f"60/{seed}": (60, seed, 0) for seed in range(4)},
    **{f"100/{seed}": (100, seed, 0) for seed in range(4)},
    **{f"130/{seed}": (130, seed, 0) for seed in range(3)},
    **{f"{size}/0": (size, 0, 0) for size in (200, 400)},
    **{f"60+10/{seed}": (60, seed, 10) for seed in range(3)},
    **{f"100+20/{seed}": (100, seed, 20) for seed in range(3)},
}
"""Operations, seed, alternatives of each job."""

AGAIN = {f"again/{seed}": (60, seed) for seed in range(3)}
"""Operations and seed of each job that is asked about twice."""

ENGINE = "sequencer.engine."

WITHOUT: dict[str, Callable[[], AbstractContextManager[object]]] = {
    "all": nullcontext,
    "simplex": lambda: patch(ENGINE + "bounds.bounds.MOST_CELLS", -1),
    "runs": lambda: patch(ENGINE + "bounds.bounds.RunBound.__call__", lambda *_: 0),
    "probe": lambda: patch(ENGINE + "choice.probe.Probe.run", lambda _self, partial, _limit: partial),
    "strong": lambda: patch(ENGINE + "choice.appraisal.Appraisal.strengthen", lambda *_: None),
    "fixed": lambda: patch(ENGINE + "choice.choice.Choice._fixed", lambda _self, partial, _key: partial),
    "needless": lambda: patch(ENGINE + "choice.choice.needless", lambda *_: 0),
    "repaired": lambda: patch(ENGINE + "choice.choice.repaired", lambda *_: None),
    "spared": lambda: patch(ENGINE + "relation._more_for_certain", lambda *_: 0),
    "columns": lambda: patch(ENGINE + "bounds.pricing.Pricing._broken", lambda self: self.base[:0]),
    "soon": lambda: patch(ENGINE + "sequence.FIRST_PRICING", 0),
    "local": lambda: patch(
        ENGINE + "waves.local.SegmentExchange.search", lambda self, order, *_: (order, cost_by(self, order))
    ),
    "refine": lambda: patch(ENGINE + "refine.refine.refinable", lambda _job: False),
    "refine-waves": lambda: patch(ENGINE + "refine.refine.Refinement._waves", lambda *_: None),
    "passed-by": lambda: patch(ENGINE + "waves.wave.Waves._pass_none_by", lambda *_: None),
    "table": lambda: patch(ENGINE + "gaps.widening.refinable", lambda _job: False),
    "left-out": lambda: patch(ENGINE + "gaps.refined.RuledRefinement.with_prices", new=False),
    "levels": lambda: patch(ENGINE + "gaps.widening.LEVELS", 0),
    "passing": lambda: patch(ENGINE + "gaps.passing.Passing.struck", no_bits),
    "turn": lambda: patch(ENGINE + "gaps.ordering.better_turned", lambda *_: False),
    "orders": lambda: patch(ENGINE + "gaps.ordering.with_orders", lambda job, _gaps: job),
}
"""Each piece, and what takes it away; ``all`` takes none."""


@dataclass(frozen=True)
class Answer:
    """What a row came to: cost and bound."""

    cost: float
    bound: float


def cost_by(search: object, order: list[int]) -> int:
    """What an order costs by the table of the local search."""
    costs = search.costs  # type: ignore[attr-defined]
    return sum(int(costs[a, b]) for a, b in pairwise([0, *(op + 1 for op in order)]))


def no_bits(_self: object, _done: object, present: object, _reached: object) -> object:
    """No target struck."""
    return present.astype("uint64") * 0  # type: ignore[attr-defined]


def solved(problem: Problem, seconds: float) -> Answer:
    """One question."""
    result = solve(problem, Limits(seconds=seconds))
    return Answer(result.cost, result.bound)


def asked_again(size: int, seed: int, seconds: float) -> Answer:
    """Two questions, the second with one target more."""
    former, target = without_a_leaf(generate(size, seed))
    first = ask(former, Limits(seconds=seconds))
    result = first.again(with_goal(former, (target,)), Limits(seconds=seconds)).result
    return Answer(result.cost, result.bound)


def both_ways(name: str) -> Iterator[tuple[str, Callable[[], Answer]]]:
    """A machine under good practice: the way in, and the way back of the plan that was found."""
    path, parts = MACHINES[name]
    plans: list[Teardown] = []

    def way_in() -> Answer:
        text, targets = path.read_text(encoding="utf-8"), [("off", part) for part in parts]
        plans.append(teardown(text, targets, limits=limits(), practice=Practice.ALL))
        return told(plans[-1])

    yield f"{name} in", way_in
    yield f"{name} back", lambda: told(plan_refit(plans[0], limits=limits(), practice=Practice.ALL))


def told(plan: Teardown | Refit) -> Answer:
    """Cost and bound of a plan."""
    assert plan.bound is not None
    return Answer(
        float(sum(step.seconds + step.change_seconds for step in plan.steps)), float(plan.bound.seconds)
    )


def rows(published: Path, seconds: float) -> Iterator[tuple[str, Callable[[], Answer]]]:
    """Every row's name and what it does."""
    for name, job in GENERATED.items():
        yield name, partial(solved, generate(*job), seconds)
    for name, (size, seed) in AGAIN.items():
        yield name, partial(asked_again, size, seed, seconds)
    for name in PUBLISHED:
        if (published / f"{name}.sop").exists():
            yield name, partial(solved, read(published / f"{name}.sop"), seconds)
    for name in MACHINES:
        yield from both_ways(name)


def timed(run: Callable[[], Answer]) -> tuple[float, Answer]:
    """Processor seconds, and what came of it."""
    with patch("time.monotonic", time.process_time):
        began = time.process_time()
        answer = run()
        return time.process_time() - began, answer


def cell(spent: float, answer: Answer, best: Answer) -> str:
    """What is printed of a run."""
    gap = (answer.cost - answer.bound) / max(1, answer.cost)
    return ("" if answer.cost <= best.cost else "!") + (f"{spent:.2f}" if gap <= 0 else f"gap {gap:.2%}")


def main() -> None:
    """Print the table row by row, and the sums."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--pieces", nargs="*", default=list(WITHOUT), choices=list(WITHOUT))
    parser.add_argument("--rows", nargs="*", default=[""], help="beginnings of their names")
    parser.add_argument("--published", type=Path, default=FOLDER, help="where published instances are")
    parser.add_argument("--seconds", type=float, default=30.0)
    asked = parser.parse_args()
    print("job".ljust(22), *(f"{piece:>12}" for piece in asked.pieces), flush=True)
    sums = dict.fromkeys(asked.pieces, 0.0)
    solve(generate(60, 1))  # what is imported late is imported now
    for name, run in rows(asked.published, asked.seconds):
        if not name.startswith(tuple(asked.rows)):
            continue
        cells, best = [], None
        for piece in asked.pieces:
            with WITHOUT[piece]():
                spent, answer = timed(run)
            sums[piece] += spent
            best = best or answer
            cells.append(f"{cell(spent, answer, best):>12}")
        print(name.ljust(22), *cells, flush=True)
    print("sum".ljust(22), *(f"{total:>12.1f}" for total in sums.values()))


if __name__ == "__main__":
    main()
