"""Sealants and threadlockers on the way back: put on right before the fitting, together in time.

A sealant is a step of its own, at the place and with the tool of what it comes before, so that it costs only
its own time. From there to the end of the first pass (the part fitted, its joints run down) there is only so
much time. Where the quickest order takes longer, the joints are moved up behind the fitting; where that can't
be done or is not enough, the reassembly is refused. Then it is left to cure.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import inf

from sequencer.errors import SequencerError
from sequencer.graph.operations import Because, Clause, Kind, Op, Operation, OperationGraph, Reason
from sequencer.graph.reverse import WayBack
from sequencer.machine.model import Machine, Place, Sealing, Subject
from sequencer.plan.order.replay import is_workable, replay
from sequencer.plan.order.setups import Changes
from sequencer.plan.plan import Hold, Refit, Step
from sequencer.torque.sealant import Sealant, sealant_of, within_window

SEAL_PART_SECONDS = Fraction(60)
"""Seconds to put a sealant on a part's face (common practice)."""

SEAL_EACH_SECONDS = Fraction(10)
"""Seconds a fastener to put threadlocker or sealant on it (common practice)."""

_COMES_BEFORE = (Kind.FIT, Kind.MOVE_BACK, Kind.SEAT)
_FIRST_PASS = (Kind.FASTEN, Kind.TIGHTEN)


@dataclass(frozen=True)
class _Seal:
    """One application: before which operation, which end the first pass, and where the file asks for it."""

    name: str
    before: str
    ends: tuple[str, ...]
    sealant: Sealant
    place: Place


def sealed(
    graph: OperationGraph, order: Sequence[str], changes: Changes, already: Collection[str] = ()
) -> tuple[OperationGraph, tuple[str, ...], tuple[Hold, ...]]:
    """Put the sealants into a reassembly.

    Args:
        graph: The reversed graph of the job; needs are in reversed time.
        order: The operations of the reassembly in the order of work.
        changes: What changes of set-up cost.
        already: Steps that are done: what was sealed is not sealed again.

    Returns:
        The graph with the sealing operations, the order with them, and what has to wait for them.

    Raises:
        SequencerError: A sealant whose window no order at hand keeps; it names the step that is too long.
    """
    seals = [seal for seal in _seals(graph, order) if seal.name not in already]
    if not seals:
        return graph, tuple(order), ()
    grown = _with_operations(graph, seals)
    order = list(order)
    for seal in seals:
        order.insert(order.index(seal.before), seal.name)
    for seal in seals:
        if not _fits(grown, order, changes, seal):
            order = _moved_up(grown, order, seal)
    for seal in seals:
        _insist(grown, order, changes, seal)
    return grown, tuple(order), tuple(_hold(grown, order, seal) for seal in seals)


def with_seals(
    back: WayBack, order: Sequence[str], already: Sequence[str] = (), skipped: Collection[str] = ()
) -> tuple[WayBack, tuple[Hold, ...]]:
    """The way back with its sealing operations as steps like any other, and what has to wait for a sealant.

    Args:
        back: The whole way back of the job.
        order: What is left of a reassembly, in the order of work, its sealing steps among it.
        already: The steps before, which are done.
        skipped: Steps that were left out; nothing waits for a sealant among them.
    """
    graph, known = back.graph, {*already, *order, *skipped}
    seals = _seals(graph, [name for name in (*already, *order) if name in graph.operations])
    seals = [seal for seal in seals if seal.name in known]
    grown = _with_operations(graph, seals)
    goals = tuple(Clause((seal.name,), grown.needs[seal.name][0].reason) for seal in seals)
    home = replace(back, graph=grown, goals=(*back.goals, *goals))
    return home, tuple(_hold(grown, order, seal) for seal in seals if seal.name not in skipped)


def _seals(graph: OperationGraph, order: Sequence[str]) -> list[_Seal]:
    """Each application once: a part that is moved back after it is fitted is sealed when it is moved back.

    A part that was only eased loose has broken its seal too: it is sealed as it is seated again.
    """
    done = set(order)
    found: dict[str, _Seal] = {}
    for name in order:
        operation = graph.operations[name]
        sealing = _sealing(graph.machine, operation)
        if sealing is None or operation.part is None:
            continue
        seal = Kind.SEAL.of(operation.subject)
        if operation.kind is Kind.SEAT and seal in found:
            continue
        ends = first_pass(graph.machine, operation.subject, done) or (name,)
        found[seal] = _Seal(seal, name, ends, sealant_on(sealing), sealing.place)
    return list(found.values())


def first_pass(machine: Machine, sealed_thing: str, known: Collection[str]) -> tuple[str, ...]:
    """What ends the first pass over what is sealed, a part or ``part/joint``, of the operations ``known``."""
    if Subject(sealed_thing).joint:
        fastened = [Kind.FASTEN.of(sealed_thing)]
    else:
        joints = machine.parts[sealed_thing].joints.values()
        fastened = [kind.of(joint.path) for joint in joints for kind in _FIRST_PASS]
    return tuple(name for name in fastened if name in known)


def _sealing(machine: Machine, operation: Operation) -> Sealing | None:
    if operation.part is None:
        return None
    part = machine.parts[operation.part]
    if operation.kind in _COMES_BEFORE:
        return part.sealing
    if operation.kind is Kind.FASTEN and operation.joint is not None:
        return part.joints[operation.joint].sealing
    return None


def sealant_on(sealing: Sealing) -> Sealant:
    """The sealant that a file asks for, with its times: reading refuses one without."""
    return sealant_of(sealing.kind, sealing.assemble_within, sealing.cure)


def _with_operations(graph: OperationGraph, seals: Sequence[_Seal]) -> OperationGraph:
    operations = dict(graph.operations)
    needs: dict[str, tuple[Clause, ...]] = dict(graph.needs)
    for seal in seals:
        after = graph.operations[seal.before]
        seconds = SEAL_PART_SECONDS
        if after.part is not None and after.joint is not None:
            seconds = SEAL_EACH_SECONDS * graph.machine.joint(after.part, after.joint).count
        operations[seal.name] = replace(after, kind=Kind.SEAL, seconds=seconds)
        # Needs are in reversed time: in the order of work the sealant comes before what it is put on for.
        reason = Reason(Because.STATE, f"{seal.name} comes before {seal.before}", seal.place)
        needs[seal.name] = (Clause((seal.before,), reason),)
    return replace(graph, operations=operations, needs=needs)


def _window(
    graph: OperationGraph, order: Sequence[str], changes: Changes, seal: _Seal
) -> list[tuple[str, Fraction]]:
    """The steps from the application to the end of the first pass, with their changes of set-up.

    The fasteners of a joint are coated and driven one after the other, so that each has the time to itself.
    """
    after = graph.operations[seal.before]
    each = 1
    if after.part is not None and after.joint is not None:
        each = graph.machine.joint(after.part, after.joint).count
    steps = replay(graph, order, changes)
    start = order.index(seal.name)
    end = max(order.index(name) for name in seal.ends)
    return [
        (s.operation.name, (s.seconds + s.change_seconds * (n > 0)) / each)
        for n, s in enumerate(steps[start : end + 1])
    ]


def _fits(graph: OperationGraph, order: Sequence[str], changes: Changes, seal: _Seal) -> bool:
    return within_window(seal.sealant, _window(graph, order, changes, seal)).fits


def keeps_windows(graph: OperationGraph, order: Sequence[str], changes: Changes) -> bool:
    """Whether each sealant of a reassembly, which is in it already, is put together in its time."""
    return all(_fits(graph, order, changes, seal) for seal in _seals(graph, order) if seal.name in order)


def _insist(graph: OperationGraph, order: Sequence[str], changes: Changes, seal: _Seal) -> None:
    window = within_window(seal.sealant, _window(graph, order, changes, seal))
    if window.fits:
        return
    remedy = window.remedy
    if window.too_long in {seal.name, seal.before, *seal.ends}:  # none of these can come before it
        remedy = "get a helper for that step, or use one that stays open longer and write its assemble_within"
    raise SequencerError(f"{seal.place}:{seal.place.column}: {seal.name}: {window.problem}", remedy)


def _moved_up(graph: OperationGraph, order: Sequence[str], seal: _Seal) -> list[str]:
    """The order with what ends the first pass right behind the fitting, as far as the machine allows."""
    moved = list(order)
    place = moved.index(seal.before) + 1
    for name in [n for n in order if n in seal.ends and n != seal.before]:
        trial = [n for n in moved if n != name]
        own = Kind.SEAL.of(Op(name).subject)
        block = [own, name] if own in trial else [name]
        trial = [n for n in trial if n != own]
        trial[place:place] = block
        if is_workable(graph, trial[::-1]):
            moved = trial
            place += len(block)
    return moved


def _hold(graph: OperationGraph, order: Sequence[str], seal: _Seal) -> Hold:
    """What has to wait: the first filling of a fluid that wets what was sealed, or else running it."""
    wet = wetted(graph.machine, graph.operations[seal.before].subject)
    number = {name: position for position, name in enumerate(order, start=1)}
    after = max((number[name] for name in seal.ends if name in number), default=0)
    fills = [number[name] for fluid in wet if (name := Kind.FILL.of(fluid)) in number]
    return Hold(
        graph.operations[seal.before].subject,
        seal.sealant.label,
        number.get(seal.name, 0),
        after,
        min((n for n in fills if n > after), default=None),
        seal.sealant.cure,
        seal.sealant.cure_from,
    )


def wetted(machine: Machine, sealed_thing: str) -> tuple[str, ...]:
    """The fluids that wet what was sealed, a part or ``part/joint``."""
    where, sealing = Subject(sealed_thing), machine.sealing(sealed_thing)
    part = machine.parts[where.part]
    wet = part.spills(part.joints[where.joint]) if where.joint else part.all_spills
    return tuple(dict.fromkeys((*(sealing.against if sealing else ()), *wet)))


def waiting(steps: Sequence[Step], hold: Hold) -> Fraction:
    """Seconds to wait for a cure because the work until then takes less; they count in no total.

    The way to the filling is work until then, too.
    """
    until = hold.before_step or inf
    later = [step for step in steps if hold.after_step < step.number <= until]
    worked = sum((step.change_seconds + step.seconds * (step.number < until) for step in later), Fraction(0))
    return max(Fraction(0), hold.seconds - worked)


def waits_for(plan: Refit, hold: Hold) -> Fraction:
    """The same of a plan; none where it cures between two sittings."""
    return Fraction(0) if hold.over_night(plan.breaks) else waiting(plan.steps, hold)
