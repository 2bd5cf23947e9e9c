"""All that a search for sittings asks about a plan, by the places of its steps: what may be, at what cost."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from functools import cache, cached_property
from typing import TYPE_CHECKING

from sequencer.graph.reverse import way_back
from sequencer.plan.closing.sealing import first_pass
from sequencer.plan.evenings.possible import Possible
from sequencer.plan.evenings.worth import Worth
from sequencer.plan.hazards.stops import Left, Places, Verdict, overnight_seconds
from sequencer.plan.order.setups import Changes, Setup
from sequencer.plan.plan import Refit

if TYPE_CHECKING:
    from sequencer.plan.evenings.load import Load
    from sequencer.plan.hazards.stops import Loose
    from sequencer.plan.plan import Plan


class Ground:
    """A plan as its sittings are looked for.

    Attributes:
        size: How many steps there are; ``all``: the set of them as bits.
        names: The operation of each.
        like: For each step, the first with the same tool at the same place.
    """

    def __init__(self, plan: Plan, load: Load) -> None:
        self.plan, self.load = plan, load
        self.size = len(plan.steps)
        self.names = tuple(op.name for op in plan.operations)
        self.all = (1 << self.size) - 1
        setups = [Setup(op.position, op.tool) for op in plan.operations]
        self.like = [setups.index(setup) for setup in setups]
        self._setups = setups
        self._seconds = [step.seconds for step in plan.steps]
        self._places = Places(plan)
        self._left: dict[int, tuple[Loose, ...]] = {}
        self._changes = changes_of(plan)
        self.change = cache(self._change)
        self.start = cache(self._start)
        self.may_stop = cache(self._may_stop)
        self._next = cache(self._steps_after)

    @cached_property
    def possible(self) -> Possible:
        """What may come next; a plan whose order stays as it is does without."""
        return Possible(self.plan)

    @property
    def stays(self) -> bool:
        """Whether what comes next depends on the last step."""
        return self.possible.stays

    def bits(self, names: Collection[str]) -> int:
        """Those of the names that are steps of the plan."""
        return sum(1 << place for place, name in enumerate(self.names) if name in names)

    def _change(self, old: int, new: int) -> Fraction:
        """Seconds from one step to another."""
        return self._changes.seconds(self._setups[old], self._setups[new])

    def _start(self, step: int) -> Fraction:
        """Seconds to a step from where work begins, with empty hands; a job under way goes on where it is."""
        if step == 0 and self.plan.earlier:
            return self.plan.steps[0].change_seconds
        return self._changes.start_seconds(self._setups[step])

    @cached_property
    def _cures(self) -> tuple[tuple[int, int], ...]:
        """What waits for a long cure: the steps from which it cures, and the filling."""
        plan = self.plan
        if not isinstance(plan, Refit):
            return ()
        names = {step.number: step.operation.name for step in plan.steps}
        found = []
        for hold in plan.holds:
            if (
                hold.seconds < overnight_seconds()
                or hold.before_step not in names
                or hold.after_step not in names
            ):
                continue
            ends = {*first_pass(plan.machine, hold.sealed, self.names), names[hold.after_step]}
            found.append((self.bits(ends), self.bits({names[hold.before_step]})))
        return tuple(found)

    def cured(self, start: int) -> int:
        """What may be done in a sitting that begins with ``start`` done: a long cure takes a night."""
        allowed = self.all
        for sealed, filling in self._cures:
            if sealed & ~start:
                allowed &= ~filling
        return allowed

    def next(self, done: int, last: int, start: int) -> Iterator[int]:
        """What may come next in a sitting that began with ``start`` done."""
        allowed = self._next(done, last if self.stays else -1) & self.cured(start)
        while allowed:
            bit = allowed & -allowed
            allowed ^= bit
            yield bit.bit_length() - 1

    def _steps_after(self, done: int, last: int) -> int:
        """The same as bits, whenever the sitting began: the searches come by there time and again."""
        return self.possible.next(done, last)

    def left(self, done: int) -> tuple[Loose, ...]:
        """What is left in a state of its own."""
        if done not in self._left:
            self._left[done] = self._places.left(
                [name for place, name in enumerate(self.names) if done >> place & 1]
            )
        return self._left[done]

    def _may_stop(self, done: int) -> bool:
        """Whether a sitting may end there; once all is done, the plan leaves it so."""
        return done == self.all or Verdict.of(self.left(done)) is not Verdict.UNSAFE

    def behind(self, done: int) -> tuple[int, int]:
        """How many joints somebody who stops there leaves snug; 1 if something has to be looked at first."""
        if done == self.all:
            return 0, 0
        left = self.left(done)
        return sum(one.left is Left.SNUG for one in left), int(Verdict.of(left) is Verdict.LOOK)

    def own(self, step: int) -> Fraction:
        """The seconds of a step by itself."""
        return self._seconds[step]

    def seconds(self, order: Sequence[int]) -> Fraction:
        """The changes in a sitting of these steps in this order."""
        if not order:
            return Fraction(0)
        return self.start(order[0]) + sum(map(self.change, order, order[1:]), Fraction(0))

    def within(self, order: Collection[int], changes: Fraction, number: int) -> bool:
        """Whether such a sitting ends in its time with the wished chance."""
        return self.load.within(self.load.taken(order, changes), number)

    def sure(self, order: Sequence[int]) -> Fraction:
        """The length of a sitting that these steps end in with the wished chance."""
        return self.load.sure(self.load.taken(order, self.seconds(order)))

    def worth(self, order: Sequence[int], changes: Fraction, number: int, done: int) -> Worth:
        """What a sitting of these steps comes to, ``done`` being all that is done at its end."""
        taken = self.load.taken(order, changes)
        over = Fraction(0)
        if not self.load.within(taken, number):
            over = self.load.sure(taken) - self.load.wish.length(number)
        seconds = changes + sum((self._seconds[step] for step in order), Fraction(0))
        return Worth(over, 1, seconds, *self.behind(done))


def changes_of(plan: Plan) -> Changes:
    """What changes of tool and place cost in a plan, with the wrenches of its way."""
    if not isinstance(plan, Refit):
        return Changes.of(plan.machine)
    back = way_back(plan.teardown.graph, (op.name for op in plan.teardown.operations))
    return Changes.of(plan.machine, back.drives)
