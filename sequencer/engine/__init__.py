"""Pure optimisation: which operations to do and in which order, proven or with an honest bound.

Arrays in, order and bound out; no word of machines. ``solve`` is the door; the words of its question and its
answer are in ``problem``.

How an order is found and proven: operations of one set-up are merged where they need never be apart
(``merge``); small jobs are searched best first (``search``); then a job of few operations is solved exactly
and takes in what its order lacks, which proves most jobs of some hundred operations in seconds (``refine``);
where that grows too wide, waves of states with priced cuts as their bound go on (``wave``, ``pricing``), and
where each operation has a set-up of its own a local search finds better orders (``local``). Which operations
to do at all is chosen above that (``choice``).
Under whiles and stays the set is fixed, and its order is searched step by step (``gaps``).

A question that differs little from one before is asked in a conversation: ``ask`` gives a ``Conversation``
with the ``problem`` and its ``result``, and ``Conversation.again`` takes the changed problem::

    first = ask(problem, limits)
    more = first.again(replace(problem, goals=(*problem.goals, (7,))), limits)  # one target more

How a job is stated, and who has to know of a rule: ``Problem`` is the question; ``Rules.of`` turns it into
sets, ``Appraisal.job`` into a ``Job`` of what one choice does (clauses are all that it knows of order).
What decides whether a next operation is allowed is written five times, each for its own pace:
``Job.ready``, ``exhaust`` and ``step`` with ``trace.moves`` (beam, best first), ``Packed.exhaust`` (waves),
``Ideals.steps`` (sweeps; it knows ``Job.ancestors`` only, and is a bound for anything stricter),
``_Way.limit`` (exchanges) and ``Incumbent.valid``, which judges every order that is taken. Whiles and
stays are known to ``Gaps`` alone, which ``Steps.moves`` and ``Incumbent.valid`` ask. ``moves``,
``Packed``, ``merge`` and ``needless`` take for granted that doing more, or doing it sooner, never forbids
anything.

Every answer is worth what a fresh one is; it comes sooner by what stays true: a problem that was answered
before is looked up; former orders are made to fit; a bound holds where nothing was dropped; the prices that
bounds are made of are remembered. Any number of variants may be asked of one ``Conversation``, in any order.
"""

from sequencer.engine.conversation import Conversation, ask
from sequencer.engine.errors import ProblemError
from sequencer.engine.problem import (
    Clause,
    Counters,
    Limits,
    Problem,
    Progress,
    Result,
    Saving,
    Status,
    Stay,
    Trigger,
    While,
)
from sequencer.engine.solve import solve

__all__ = [
    "Clause",
    "Conversation",
    "Counters",
    "Limits",
    "Problem",
    "ProblemError",
    "Progress",
    "Result",
    "Saving",
    "Status",
    "Stay",
    "Trigger",
    "While",
    "ask",
    "solve",
]
