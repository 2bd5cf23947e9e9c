"""What a script can plan: the way in, the way back, what is in the way, and the sittings it takes."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from sequencer.door import arguments
from sequencer.door.arguments import Parts, Watch
from sequencer.machine import Machine
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.plan import Plan, Refit, Teardown
from sequencer.plan.practice.rules import Practice

if TYPE_CHECKING:
    from sequencer.plan.blockers import InTheWay
    from sequencer.plan.evenings.sittings import Evenings


def plan_removal(
    machine: Machine,
    *,
    off: Parts = (),
    reach: Parts = (),
    job: Parts = (),
    prefer: str | Prefer = Prefer.TIME,
    time_limit: float | None = None,
    gap: float = 0.0,
    watch: Watch | None = None,
    practice: str | Practice = "all",
) -> Teardown:
    """The quickest way to the parts that good practice allows, and how good it is proven to be.

    Args:
        machine: The machine.
        off: Parts to take off: ``"head"``; ``"motor=loose"`` only loosens; several as a list.
        reach: Parts or joints to clear the way to, without undoing them.
        job: Jobs of the machine file by name, ``"head-gasket"``: takes off what they take off.
        prefer: What to have least of: ``time``, ``tool-changes`` or ``reach-arounds``; time comes second.
        time_limit: Stop looking after so many seconds. Without it a count of work decides, so that the same
            file gives the same plan anywhere.
        gap: Stop once at most this share of the time, 0 to 1, could still be saved; 0 asks for the proof.
        watch: Told how the search gets on.
        practice: ``all`` keeps the rules of good practice, ``none`` gives the plain quickest order.

    Raises:
        ArgumentError: No part is named, the machine has no such part, or a number is out of its range.
        UnreachableError: No order of work reaches the parts: what circle keeps them, and what opens it.
    """
    from sequencer.plan.order.patience import limits
    from sequencer.plan.teardown import plan_teardown

    targets = arguments.targets(arguments.machine(machine), off, reach, job)
    bound = limits(arguments.seconds(time_limit), arguments.share(gap))
    asked = arguments.prefer(prefer), bound, arguments.watch(watch), arguments.practice(practice)
    return plan_teardown(machine, targets, *asked)


def plan_refit(
    removal: Teardown,
    *,
    prefer: str | Prefer | None = None,
    time_limit: float | None = None,
    gap: float = 0.0,
    watch: Watch | None = None,
) -> Refit:
    """The quickest way back after ``removal``, every torque asked for before something closes it off.

    ``prefer`` and good practice are those of the removal; the other arguments are those of ``plan_removal``.
    """
    from sequencer.plan.order.patience import limits
    from sequencer.plan.refit import plan_refit as plan_back

    if not isinstance(removal, Teardown):
        raise TypeError(f"removal is a plan from plan_removal, not {arguments.kind(removal)}")
    first = removal.prefer if prefer is None else arguments.prefer(prefer)
    bound = limits(arguments.seconds(time_limit), arguments.share(gap))
    practice = Practice.NONE if removal.practice is None else Practice.ALL
    return plan_back(removal, first, bound, arguments.watch(watch), practice)


def find_blockers(
    machine: Machine,
    *,
    off: Parts = (),
    reach: Parts = (),
    job: Parts = (),
    without: Parts | None = (),
    time_limit: float | None = None,
    watch: Watch | None = None,
) -> InTheWay:
    """What has to move for the parts, why, and what the job would take if it need not.

    Args:
        machine: The machine.
        off: As for ``plan_removal``; ``reach``, ``time_limit`` and ``watch`` too.
        reach: Parts or joints to clear the way to.
        job: Jobs of the machine file by name.
        without: Parts to price as if they need not move; None: every part in the way.
        time_limit: Seconds for each question: the job itself, and each price.
        watch: Told how the search for the job itself gets on.

    Raises:
        ArgumentError: As for ``plan_removal``.
        SequencerError: A part to be priced is what the job is for.
        UnreachableError: No order of work reaches the parts.
    """
    from sequencer.plan.blockers import in_the_way
    from sequencer.plan.order.patience import limits

    targets = arguments.targets(arguments.machine(machine), off, reach, job)
    bound = limits(arguments.seconds(time_limit))
    asked = None if without is None else arguments.several("without", without)
    price = None if asked is None else [arguments.part(machine, one) for one in asked]
    return in_the_way(machine, targets, bound, arguments.watch(watch), price=price)


def in_sittings(plan: Plan, minutes: Iterable[int] | int, *, chance: float = 0.8) -> Evenings[Any]:
    """A plan in the order that needs the fewest sittings, each ending where the machine may be left.

    Args:
        plan: From ``plan_removal`` or ``plan_refit``. The chosen order is ``plan`` of what comes back.
        minutes: How long a sitting is, setting out and clearing up included; several for sittings that
            differ, the last of which goes on.
        chance: How sure each is to end in its time.

    Raises:
        ArgumentError: A sitting has no time.
        SequencerError: One leaves no time to work, or the chance is none.
    """
    from sequencer.plan.evenings.evenings import in_sittings as divide
    from sequencer.plan.evenings.wish import SittingsWish

    if not isinstance(plan, Teardown | Refit):
        raise TypeError(f"plan is a plan from plan_removal or plan_refit, not {arguments.kind(plan)}")
    lengths = [minutes] if isinstance(minutes, int) else arguments.several("minutes", minutes)
    wish = SittingsWish.of([Fraction(60 * arguments.whole("minutes", one)) for one in lengths], chance)
    return divide(plan, wish)


def as_data(plan: Plan | Evenings[Any]) -> dict[str, Any]:
    """A plan, or one in sittings, as plain data for JSON: what ``plan --json`` and ``refit --json`` print."""
    from sequencer.plan.evenings.sittings import Evenings
    from sequencer.render.data.plans.plan import refit_json, teardown_json

    divided = plan if isinstance(plan, Evenings) else None
    plan = divided.plan if divided else plan
    if isinstance(plan, Refit):
        return refit_json(plan, divided=divided)
    if isinstance(plan, Teardown):
        return teardown_json(plan, divided=divided)
    raise TypeError(f"plan is a plan from plan_removal or plan_refit, not {arguments.kind(plan)}")


def _html(plan: Plan) -> str:
    from sequencer.render.notebook import plan_html

    return plan_html(plan)


Plan.shown_by = _html
