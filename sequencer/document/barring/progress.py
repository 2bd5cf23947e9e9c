"""How far a job is, on its picture of what blocks what: what is off, what is next, what is in hand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sequencer.document.barring.barring_words import key_of
from sequencer.document.barring.made import barring
from sequencer.document.barring.things import Barring, Boxed, Row, Stage
from sequencer.graph.fastening import BACK
from sequencer.graph.operations import Kind, Operation
from sequencer.job.now.moment import Moment
from sequencer.job.now.ways import ways_now
from sequencer.machine.model import State
from sequencer.plan.plan import Teardown
from sequencer.wording import listing

_OF_FLUIDS = frozenset({Kind.FILL, Kind.CLOSE, Kind.LEAK_CHECK})
_TORQUED = frozenset({Kind.UNDO, Kind.SLACKEN, Kind.CRACK})
_UNMADE = {Kind.DRAIN: "drained", Kind.TASK: "done", Kind.RESTORE: "put away"}


def barring_now(moment: Moment) -> Barring:
    """The picture of a whole job, what is done of it included, as it stands at ``moment``.

    On the way back the numbers are those of the steps that put things back.
    """
    plan = ways_now(moment).into
    return _Progress(moment, plan).told() if plan.steps else barring(moment.machine, None)


class _Progress:
    def __init__(self, moment: Moment, plan: Teardown) -> None:
        self.moment, self.plan, self.turned = moment, plan, moment.state.turned
        self.mine: dict[str, list[Operation]] = {}
        for operation in plan.operations:
            self.mine.setdefault(key_of(operation), []).append(operation)
        station = moment.station
        self.next = {home_of(step.operation) for step in station.steps} if station else set()
        self.done, self.back = set(moment.state.done), set(moment.state.back)

    def told(self) -> Barring:
        picture = barring(self.moment.machine, self.plan, title=self._title())
        return replace(
            picture,
            things={key: self._thing(one) for key, one in picture.things.items()},
            first=tuple(map(self._thing, picture.first)),
            under_way=True,
            turned=self.turned,
        )

    def _title(self) -> str:
        state = self.moment.state
        settled = len(state.settled)
        said = f"{settled} of {len(state.steps)} {'back' if self.turned else 'done'}"
        if station := self.moment.station:
            said += f", next {station.steps[0].number}"
        # How far it is comes first: of a title too long for the head of a page the end is left out.
        return f"{said}: {self.moment.card.title}"

    def _thing(self, one: Boxed) -> Boxed:
        mine = self.mine.get(one.key, [])
        moving = [op for op in mine if op.joint is None]
        stage = self._stage(one.key, mine)
        rows = tuple(self._row(row, [op for op in mine if op.joint == row.joint]) for row in one.rows)
        return replace(
            one,
            rows=rows,
            stage=stage,
            told=self._words(stage, mine),
            gone=self._gone(moving or mine),
            number=self._numbers(moving) if self.turned else one.number,
        )

    def _row(self, row: Row, mine: list[Operation]) -> Row:
        numbers = self._numbers(mine) if self.turned else row.numbers
        return replace(row, gone=self._gone(mine), numbers=numbers)

    # ---- How far it is ----

    def _stage(self, key: str, mine: list[Operation]) -> Stage:
        if key in self.next:
            return Stage.NEXT
        answers = [op for one in mine for op in self._answers(one)] if self.turned else []
        begun = self.back if self.turned else self.done
        steps = answers if self.turned else [op.name for op in mine]
        steps = [op for op in steps if op not in self.moment.state.skipped]
        settled = sum(op in begun for op in steps)
        if self.turned and not settled:
            return Stage.AWAY if self._gone(mine) else Stage.AHEAD
        if not settled:
            return Stage.AHEAD
        if settled < len(steps):
            return Stage.IN_HAND
        return Stage.BACK if self.turned else Stage.AWAY

    def _gone(self, mine: list[Operation]) -> bool:
        """Whether all that a plan does there is done; on the way back, and has to be put back still."""
        really = [op for op in mine if op.name not in self.moment.state.skipped]
        if self.turned:
            if any(op.kind is Kind.RESTORE for op in really):  # it was put away on the way in
                return False
            really = [op for op in really if self._answers(op)]
        return bool(really) and all(
            op.name in self.done and self.back.isdisjoint(self._answers(op)) for op in really
        )

    def _answers(self, operation: Operation) -> list[str]:
        """The steps of the way back, as far as there are such, that put back what an operation did."""
        found = [BACK.get(operation.kind, Kind.RETIGHTEN).of(operation.subject)]
        if operation.kind in _TORQUED:
            found.append(Kind.TORQUE.of(operation.subject))
        if operation.kind is Kind.DRAIN:
            found.append(Kind.CLOSE.of(operation.subject))
        numbers = self.moment.state.numbers
        return [op for op in found if op in numbers or op in self.back]

    def _numbers(self, mine: list[Operation]) -> str:
        """The steps of the way back that put back what is done here."""
        known = (self.moment.state.number(op) for one in mine for op in self._answers(one))
        return " ".join(str(number) for number in sorted({number for number in known if number is not None}))

    # ---- In words ----

    def _words(self, stage: Stage, mine: list[Operation]) -> str:
        if stage is Stage.BACK:
            return "as it was"
        states = self._states(mine) if stage in (Stage.AWAY, Stage.NEXT, Stage.IN_HAND) else []
        bags = dict.fromkeys(self._bags(mine))
        if bags:
            states.append(f"{'bags' if len(bags) > 1 else 'bag'} {listing(map(str, bags))}")
        return ", ".join(states)

    def _states(self, mine: list[Operation]) -> list[str]:
        really = [op for op in mine if self._gone([op])]
        moved = [op.kind for op in really if op.part and op.joint is None]
        if Kind.REMOVE in moved:
            return [State.OFF.word]
        if moved:
            return [State.ASIDE.word if Kind.MOVE_ASIDE in moved else State.LOOSE.word]
        if not really or really[-1].kind not in _UNMADE:
            return []
        return [
            "still in place" if self.turned and really[-1].kind is Kind.TASK else _UNMADE[really[-1].kind]
        ]

    def _bags(self, mine: Iterable[Operation]) -> Iterable[int]:
        """The bags of this thing that have something in them."""
        for op in mine:
            bag = self.moment.bags.get(op.subject) if op.kind is Kind.UNDO else None
            if bag is not None and self._gone([op]):
                yield bag.number


def home_of(operation: Operation) -> str:
    """The key of the thing that a step of either way is about."""
    if operation.kind in _OF_FLUIDS:
        return Kind.DRAIN.of(operation.subject)
    return key_of(operation)
