"""Good practice in a job under way: what its plan can't keep, and whether what is left keeps the rest."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from sequencer.graph.operations import OperationGraph
from sequencer.plan.plan import GoodPractice
from sequencer.plan.practice.keep import every_rule
from sequencer.plan.practice.onward import begun
from sequencer.plan.practice.ruled_job import PracticeJob
from sequencer.plan.practice.rules import Dropped, RuleName, Why, kept_by

NOT_KEPT = "not_kept"
"""The key of a plan's body under which the rules stand that it does not keep."""


def not_kept(practice: GoodPractice | None) -> Mapping[str, Any]:
    """What a plan can't keep, as its event holds it; nothing for a plan without good practice."""
    if practice is None:
        return {}
    return {
        NOT_KEPT: [{**asdict(one), "name": one.name.value, "why": one.why.value} for one in practice.dropped]
    }


def read_not_kept(body: Mapping[str, Any]) -> tuple[Dropped, ...]:
    """What the plan of an event can't keep; a rule that this program does not know is passed over."""
    names, whys = {one.value for one in RuleName}, {one.value for one in Why}
    return tuple(
        Dropped(RuleName(one["name"]), one["subject"], one["at"], Why(one["why"]), one.get("other"))
        for one in body.get(NOT_KEPT, ())
        if one["name"] in names and one["why"] in whys
    )


class LastAsked:
    """The whole job that was asked about last, each way: act by act it is the same one."""

    def __init__(self) -> None:
        self._known: dict[bool, PracticeJob] = {}

    def as_known(self, job: PracticeJob) -> PracticeJob:
        """The same job, with what was found out about it before."""
        if self._known.get(job.back) != job:
            self._known[job.back] = job
        return self._known[job.back]


def in_practice(
    whole: OperationGraph,
    rest: OperationGraph,
    gone: Collection[str],
    order: Sequence[str],
    known: Collection[Dropped],
    asked: LastAsked,
    *,
    back: bool,
    place: str | None = None,
) -> bool:
    """Whether what is left keeps every rule of good practice but those that are known not to be kept.

    Args:
        whole: All that is possible; on the way back in reversed time.
        rest: What still is, likewise.
        gone: What is done, or counts so.
        order: What is left of the plan, likewise.
        known: The rules that are known not to be kept.
        asked: What was asked about before.
        back: Whether it is the way back.
        place: Where the person stands.
    """
    left = PracticeJob(rest.restricted(order), back)
    job, onward = begun(whole, gone, left, place)
    told = {(one.name, one.subject) for one in known}
    rules = every_rule(asked.as_known(job), onward).rules
    return all(
        keeps or (rule.name, rule.subject) in told
        for rule, keeps in zip(rules, kept_by(rules, order), strict=True)
    )
