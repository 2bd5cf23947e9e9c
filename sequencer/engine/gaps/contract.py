"""Steps that a rule makes neighbours, as one operation: a job of blocks, and the rules that are left.

A ``While`` that lets nothing between two operations of which one comes before the other in every order, or
only what is in between anyway, makes a chain of them. The chain is entered by the set-up of its first
operation and left by that of its last; what the changes within cost is paid on the way in. So no detour is
cheaper than the direct change where none was before, and what orders plain jobs orders blocks as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.costs import Costs
from sequencer.engine.base.gaps import Gap, Gaps
from sequencer.engine.base.job import Job
from sequencer.engine.base.merge import Merged, lean

Chain = tuple[int, ...]


def contracted(job: Job, gaps: Gaps) -> tuple[Merged, Gaps]:
    """The job in blocks, and the rules about the gaps between them; the job is feasible without rules."""
    orders, whiles = _as_orders(job, [_tight(job, rule) for rule in gaps.whiles], lifts=bool(gaps.stays))
    orders += _kept_out(job, whiles)
    while orders:
        clauses = [list(own) for own in job.clauses]
        for before, after in orders:
            clauses[after].append(1 << before)
        job = Job(job.setups, lean(clauses), job.costs)
        if not job.feasible:
            return Merged(job, tuple((op,) for op in range(job.size))), gaps
        orders = list(_kept_out(job, whiles))
    chains, left = _chains(job, whiles)
    blocks = _blocks(job, chains)
    folded = _folded(job, blocks)
    stays = [_tight(job, rule) for rule in gaps.stays]
    return Merged(folded, blocks), _between(job, blocks, folded.setups, left, stays)


def alike(job: Job) -> Job:
    """The same job with one set-up for several that only rules tell apart."""
    ways = list(zip(job.costs.starts, job.costs.changes, zip(*job.costs.changes, strict=True), strict=True))
    return replace(job, setups=tuple(ways.index(ways[setup]) for setup in job.setups))


def _tight(job: Job, rule: Gap) -> Gap:
    """The same rule without what others of ``after`` and ``until`` imply in every order."""
    after, until = rule.after, rule.until
    for op in members(rule.after):
        after &= ~job.ancestors[op]
    for op in members(rule.until):
        until &= ~job.descendants[op]
    return replace(rule, after=after, until=until)


def _as_orders(job: Job, whiles: Iterable[Gap], *, lifts: bool) -> tuple[list[tuple[int, int]], list[Gap]]:
    """What says that one operation comes before another, and the rules that say more than that.

    Where a ``While`` ``lifts`` stays, it says more.
    """
    orders, rest = [], []
    for rule in whiles:
        if not rule.until and rule.after and not rule.after & (rule.after - 1):
            last = rule.after.bit_length() - 1
            orders += [(op, last) for op in members(job.all & ~rule.following & ~rule.after)]
            rest += [rule] if lifts and rule.lifts else []
        elif not any(job.ancestors[op] & rule.until for op in members(rule.after)):
            rest.append(rule)
    return orders, rest


def _kept_out(job: Job, whiles: Iterable[Gap]) -> Iterator[tuple[int, int]]:
    """Orders not known yet: what a ``While`` keeps out from between its ends comes before or after both."""
    for rule in whiles:
        if rule.after.bit_count() != 1 or rule.until.bit_count() != 1:
            continue
        first, last = rule.after.bit_length() - 1, rule.until.bit_length() - 1
        if job.ancestors[last] & rule.after:
            out = job.all & ~(rule.following | rule.after | rule.until)
            yield from ((last, op) for op in members(out & job.descendants[first] & ~job.descendants[last]))
            yield from ((op, first) for op in members(out & job.ancestors[last] & ~job.ancestors[first]))


def _chains(job: Job, whiles: Sequence[Gap]) -> tuple[list[Chain], list[Gap]]:
    """Chains of neighbours, and the rules that they do not keep by themselves."""
    paths = {rule: path for rule in whiles if (path := _path(job, rule))}
    while True:
        after = {a: b for path in paths.values() for a, b in pairwise(path)}
        before = {b: a for path in paths.values() for a, b in pairwise(path)}
        chains = []
        for first in after.keys() - before.keys():
            chain = [first]
            while chain[-1] in after:
                chain.append(after[chain[-1]])
            chains.append(tuple(chain))
        inner = {op: chain for chain in chains for op in chain[:-1]}
        left = [rule for rule in whiles if rule not in paths]
        bad = {inner[op] for rule in left for op in members(rule.after) if op in inner}
        torn = {
            rule
            for rule, path in paths.items()
            if any(after[a] != b or before[b] != a for a, b in pairwise(path))
            or any(path[0] in chain for chain in bad)
        }
        if not torn:
            return sorted(chains), left
        paths = {rule: path for rule, path in paths.items() if rule not in torn}


def _path(job: Job, rule: Gap) -> Chain:
    """The operations that follow one another by a rule, in their sequence; empty if it leaves a choice.

    What lifts no stay makes none: a stay has its say within.
    """
    if not rule.lifts or rule.after.bit_count() != 1 or rule.until.bit_count() != 1:
        return ()
    first, last = rule.after.bit_length() - 1, rule.until.bit_length() - 1
    if not job.ancestors[last] & rule.after:
        return ()
    may = rule.following & job.all & ~(job.ancestors[first] | rule.after | rule.until | job.descendants[last])
    if may & ~(job.descendants[first] & job.ancestors[last]):
        return ()
    path = (first, *sorted(members(may), key=lambda op: job.ancestors[op].bit_count()), last)
    return path if all(job.ancestors[b] >> a & 1 for a, b in pairwise(path)) else ()


def _blocks(job: Job, chains: Sequence[Chain]) -> tuple[Chain, ...]:
    """All operations in blocks, by their first ones."""
    taken = {op for chain in chains for op in chain}
    return tuple(sorted([*chains, *((op,) for op in range(job.size) if op not in taken)]))


def _folded(job: Job, blocks: Sequence[Chain]) -> Job:
    number = {op: index for index, block in enumerate(blocks) for op in block}
    clauses: list[list[int]] = []
    for block in blocks:
        done, own = 0, []
        for op in block:
            own += [clause & ~mask_of(block) for clause in job.clauses[op] if not clause & done]
            done |= 1 << op
        clauses.append([mask_of(number[op] for op in members(clause)) for clause in own])
    setups, costs = _setups(job, blocks)
    folded = Job(setups, tuple(map(tuple, clauses)), costs)
    return replace(folded, clauses=lean(clauses)) if folded.feasible else folded


def _setups(job: Job, blocks: Sequence[Chain]) -> tuple[tuple[int, ...], Costs]:
    """A set-up for each block: its own where the chain goes from one to another."""
    changes, starts = job.costs.changes, job.costs.starts
    setups, ends = [], [(setup, setup, 0) for setup in range(len(starts))]
    for block in blocks:
        way = [job.setups[op] for op in block]
        if len(set(way)) == 1:
            setups.append(way[0])
        else:
            setups.append(len(ends))
            ends.append((way[0], way[-1], sum(changes[a][b] for a, b in pairwise(way))))
    rows = tuple(
        tuple(0 if a == b else changes[out][into] + within for b, (into, _, within) in enumerate(ends))
        for a, (_, out, _) in enumerate(ends)
    )
    return tuple(setups), Costs(rows, tuple(starts[into] + within for into, _, within in ends))


def _between(
    job: Job, blocks: Sequence[Chain], setups: tuple[int, ...], whiles: Iterable[Gap], stays: Iterable[Gap]
) -> Gaps:
    """The rules about the gaps between blocks."""
    number = {op: index for index, block in enumerate(blocks) for op in block}

    def numbers(ops: int) -> int:
        return mask_of(number[op] for op in members(ops))

    def through(rule: Gap, block: Chain) -> bool:
        """Whether a ``While`` that is active before a block lets all of it pass."""
        for op in block:
            if not rule.following >> op & 1:
                return False
            if rule.until >> op & 1:
                return True
        return True

    out = {setups[index]: job.setups[block[-1]] for index, block in enumerate(blocks)}
    between = (
        Gap(
            numbers(rule.after),
            numbers(rule.until),
            mask_of(index for index, block in enumerate(blocks) if through(rule, block)),
            lifts=rule.lifts,
        )
        for rule in whiles
    )
    staying = (
        Gap(
            numbers(rule.after),
            numbers(rule.until),
            mask_of(index for index, block in enumerate(blocks) if rule.following >> block[0] & 1),
            mask_of(setup for setup, last in out.items() if (rule.leaving or 0) >> last & 1),
        )
        for rule in stays
    )
    # a rule that begins and ends within one block is never active between two
    return Gaps(
        setups,
        tuple(rule for rule in between if not rule.after & rule.until),
        tuple(rule for rule in dict.fromkeys(staying) if not rule.after & rule.until),
    )
