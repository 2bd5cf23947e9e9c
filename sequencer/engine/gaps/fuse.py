"""Operations of one set-up that need never be apart, under rules: they become one.

What ``merge`` moves has to keep the rules. What is *safe* (``safety``) may be done sooner. An operation may
be put off until another of its set-up is done if no stay ends with it, no ``While`` begins or ends with it,
and no stay can be broken by taking it out: of the two steps it lay between, one would have been barred from
it before. A stay that waits for it begins later then, no sooner. Where a rule bars one operation and lets
another come, the two stay apart.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.gaps import Gap, Gaps
from sequencer.engine.base.merge import Leave, Merged, merge
from sequencer.engine.gaps.safety import Safety

if TYPE_CHECKING:
    from sequencer.engine.base.job import Job
    from sequencer.engine.stop import Budget


def fused(merged: Merged, gaps: Gaps, budget: Budget) -> tuple[Merged, Gaps]:
    """The same blocks where those that need never be apart are one, and the rules about them."""
    job = merged.job
    if any(job.ors):
        return merged, gaps
    more = merge(job, budget, leave_of(job, gaps))
    blocks = tuple(tuple(op for block in own for op in merged.blocks[block]) for own in more.blocks)
    return Merged(more.job, blocks), _between(more, gaps)


def leave_of(job: Job, gaps: Gaps) -> Leave:
    """What the rules of a job without choices leave free to be moved."""
    safety = Safety(job, gaps)
    lasting = safety.apart
    for stay in gaps.stays:
        lasting |= stay.until
        here = stay.leaving or 0
        lasting |= mask_of(op for op in members(job.all & ~stay.following) if here >> job.setups[op] & 1)
    ways: dict[tuple[bool, ...], int] = {}
    turning = 0
    for rule in gaps.whiles:
        turning |= rule.after | rule.until
    told = [tuple(bool(rule.following >> op & 1) for rule in gaps.whiles) for op in range(job.size)]
    for op, way in enumerate(told):
        ways[way] = ways.get(way, 0) | 1 << op
    alike = tuple(0 if turning >> op & 1 else ways[way] & ~turning for op, way in enumerate(told))
    return Leave(safety.safe, job.all & ~lasting, alike)


def _between(merged: Merged, gaps: Gaps) -> Gaps:
    """The rules by their blocks; one that begins and ends within a block is never active between two."""
    number = {op: index for index, block in enumerate(merged.blocks) for op in block}

    def numbers(ops: int) -> int:
        return mask_of(number[op] for op in members(ops))

    def told(rules: tuple[Gap, ...]) -> tuple[Gap, ...]:
        found = (
            replace(r, after=numbers(r.after), until=numbers(r.until), following=numbers(r.following))
            for r in rules
        )
        return tuple(rule for rule in dict.fromkeys(found) if not rule.after & rule.until)

    return Gaps(merged.job.setups, told(gaps.whiles), told(gaps.stays))
