"""Which steps a person means: ``3-6``, ``3,5``, ``undo guard/screws``, ``guard/screws``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sequencer.errors import SequencerError
from sequencer.graph.operations import Op
from sequencer.graph.said import sentence
from sequencer.job.now.moment import Moment
from sequencer.machine.called import meant_joints, meant_parts
from sequencer.machine.faults import nearest, quote
from sequencer.machine.model import Machine
from sequencer.wording import joined

Selection = str | int | Sequence[str]
"""Step numbers as a text or a number, or operations by name."""

_RANGE = re.compile(r"(\d{1,6})(?:\s*(?:-|–|\.\.)\s*(\d{1,6}))?")
MOST_WIDE = 1000
"""Steps in one range: more than any plan has."""


class ChoiceError(SequencerError):
    """Steps that are not there, or that nobody can tell."""


@dataclass(frozen=True)
class SelectedOperations:
    """What a selection means: operations in its order, and the steps of its ranges that are superseded."""

    ops: tuple[str, ...]
    passed: Mapping[int, str]


def chosen(moment: Moment, selection: Selection) -> tuple[str, ...]:
    """The operations that ``selection`` means, in the order in which it names them.

    Raises:
        ChoiceError: A number that no step has, a range that runs backwards, or an unknown name.
    """
    return selected(moment, selection).ops


def selected(moment: Moment, selection: Selection) -> SelectedOperations:
    """The same, and what its ranges pass over: steps that a former plan had and the present one has not.

    Raises:
        ChoiceError: As ``chosen``; and where nothing is left of a number or range.
    """
    if isinstance(selection, int):
        selection = str(selection)
    pieces = re.split(r"\s*,\s*|\s+(?=\d)", selection.strip()) if isinstance(selection, str) else selection
    found: dict[str, None] = {}
    passed: dict[int, str] = {}
    for piece in pieces:
        numbers = _RANGE.fullmatch(piece.strip())
        if numbers is None:
            found[_by_name(moment, piece.strip())] = None
            continue
        choice = _by_number(moment, piece, *numbers.groups())
        found.update(dict.fromkeys(choice.ops))
        passed |= choice.passed
    return SelectedOperations(tuple(found), passed)


def _by_number(moment: Moment, text: str, first: str, last: str | None) -> SelectedOperations:
    low, high = int(first), int(last or first)
    if high < low or high - low > MOST_WIDE:
        raise ChoiceError(f"{text} runs from {low} to {high}", f"write {high}-{low}" if high < low else "")
    known = dict(moment.state.steps)
    for tick in (*moment.state.ticks.values(), *moment.state.skipped.values()):
        if tick.number is not None:
            known.setdefault(tick.number, tick.op)
    former = {number: op for number, op in moment.state.planned if number not in known}
    names = tuple(known[number] for number in range(low, high + 1) if number in known)
    passed = {number: former[number] for number in range(low, high + 1) if number in former}
    for end in (low, high):
        if end not in known and end not in former:
            there = f"the steps are {min(known)} to {max(known)}" if known else "nothing has to be done"
            raise ChoiceError(f"there is no step {end}", there)
    if not names:
        one = f"step {low}, {op_words(moment, passed[low])}, is" if low in passed else ""
        which = one if low == high else f"steps {numbers_text(list(passed))} are"
        raise ChoiceError(f"{which} no longer in the plan", "see next for the steps", code="no-step")
    return SelectedOperations(names, passed)


def _by_name(moment: Moment, text: str) -> str:
    operations = moment.whole.operations
    if text in operations or text in {op for _, op in moment.state.steps}:
        return text
    about = _about(moment, text)
    if len(about) == 1:
        return about[0]
    if about:
        raise ChoiceError(f"{quote(text)} is in several steps", f"say which: {joined(about, 'or')}")
    near = nearest(text, operations)
    raise ChoiceError(
        f"there is no step {quote(text)!r}" if text else "no step was named",
        f"did you mean {near!r}?" if near else "give numbers like 3-6, or names like 'undo guard/screws'",
    )


def _about(moment: Moment, text: str) -> list[Op]:
    """The operations on what is named: steps that are left, else any steps, else what is in no plan."""
    state, operations = moment.state, map(Op, moment.whole.operations)
    for ops in ([op for _, op in state.left], [op for _, op in state.steps], list(operations)):
        if found := named(ops, moment.machine, text):
            return found
    return []


def named(ops: Iterable[Op], machine: Machine, text: str) -> list[Op]:
    """The operations on what is named, by key or label: ``Belt guard``, ``undo Belt guard screws``."""
    verb, _, rest = text.strip().partition(" ")
    kind = Op(f"{verb} ").kind
    for name, only in ((rest, kind), (text, None)):
        meant = _subjects(machine, name)
        if found := [op for op in ops if op.subject in meant and only in (None, op.kind)]:
            return list(dict.fromkeys(found))
    return []


def _subjects(machine: Machine, name: str) -> tuple[str, ...]:
    """What a name may mean: a part, a joint, a task, a fluid."""
    labels = {key: one.label for key, one in machine.tasks.items()}
    labels |= {key: one.label for key, one in machine.fluids.items()}
    exact = [key for key, label in labels.items() if name.casefold() in (key, (label or "").casefold())]
    return tuple(exact) or meant_parts(machine, name) or meant_joints(machine, name) if name else ()


def op_words(moment: Moment, op: str) -> str:
    """A step as every view says it, or its bare name where the machine has none like it any more."""
    known = moment.operations.get(op)
    return op if known is None else sentence(moment.machine, known, volume=False)


def numbers_text(numbers: Sequence[int]) -> str:
    """``3-6, 9``: numbers as a person says them."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)
