"""What a script can ask of a machine: read it, check it, survey it, compare it, what waits for what in it."""

from __future__ import annotations

import os
from dataclasses import replace
from typing import TYPE_CHECKING

from sequencer.door import arguments
from sequencer.door.arguments import ArgumentError, File, Parts
from sequencer.machine import Machine, MachineFileError, Reading

if TYPE_CHECKING:
    import networkx as nx

    from sequencer.document.comparing.differences import MachineDifference
    from sequencer.document.plans.critic import Oddity
    from sequencer.machine.catalogue import ShippedModel
    from sequencer.machine.survey import Survey


def check_machine(file: File) -> Reading:
    """All that is wrong with a machine file, warnings too; ``machine`` is None where there is an error.

    Raises:
        TypeError: ``file`` is no path.
    """
    from sequencer.graph.explain import shut_in

    reading = _reading(file)
    shut = None if reading.machine is None else shut_in(reading.machine)
    return reading if shut is None else replace(reading, faults=(*reading.faults, shut))


def _reading(file: File) -> Reading:
    from sequencer.machine import read
    from sequencer.machine.library import find

    return read(find(arguments.path("file", file)))


def read_machine(file: File) -> Machine:
    """The machine that a file describes; its warnings are in ``check_machine``.

    Raises:
        MachineFileError: The file has errors; all of them are in ``faults``, each with line and column.
    """
    reading = _reading(file)
    if reading.machine is None:
        raise MachineFileError(reading.faults)
    return reading.machine


def models(*, words: str = "") -> tuple[ShippedModel, ...]:
    """The machines and assemblies that ship with it, or what a search for ``words`` finds, the best first.

    Each has its ``name`` (``read_machine`` takes a machine's), ``label``, ``about``, ``jobs`` and ``parts``.

    Raises:
        TypeError: ``words`` is no text.
    """
    from sequencer.machine import catalogue

    known, text = catalogue.models(), arguments.text("words", words)
    return tuple(hit.model for hit in catalogue.search(known, text)) if text.strip() else known


def expand(file: File) -> str:
    """A machine file as one text that means the same: what it includes and repeats, written out.

    Raises:
        MachineFileError: The file has errors; all of them are in ``faults``.
    """
    from sequencer.machine.expand import expanded
    from sequencer.machine.library import find

    return expanded(find(arguments.path("file", file))).text


def compare_machines(one: Machine, other: Machine) -> tuple[MachineDifference, ...]:
    """What two machines of one type have differently, the most important first; empty where nothing is.

    The order of a file, its comments and what it says once for several make no difference.

    Raises:
        TypeError: One of them is no machine.
    """
    from sequencer.document.comparing.differences import differences

    return differences(arguments.machine(one), arguments.machine(other))


def open_survey(
    *, file: File | None = None, like: File | None = None, off: Parts = (), job: Parts = ()
) -> Survey:
    """The survey that writes the machine file ``file``: begun, or where it was left.

    Args:
        file: The machine file; answers are kept beside it. None: in memory alone.
        like: A machine of the library, or a file, that it is like: only what differs is asked.
        off: With ``like``: what is wanted off; else that is the first question.
        job: Likewise, typical jobs of the type.

    Raises:
        ArgumentError: Parts or jobs are named, and no type.
        SequencerError: There is no such type, part or job; a machine file is there that no survey wrote; the
            answers can't be read.
        MachineFileError: The type's file has errors.
    """
    from sequencer.machine.survey import Survey
    from sequencer.plan.like import begin_survey
    from sequencer.plan.like import open_survey as opened

    wanted = [str(getattr(one, "text", one)) for one in arguments.several("off", off)]
    jobs = [str(one) for one in arguments.several("job", job)]
    named = None if like is None else os.fspath(arguments.path("like", like))
    if file is not None:
        return opened(arguments.path("file", file), named, wanted, jobs)
    if named is not None:
        return begin_survey(None, named, wanted, jobs)
    if wanted or jobs:
        raise ArgumentError("a part is named, and no type that has it", "give like='TYPE'")
    return Survey()


def find_oddities(
    machine: Machine, *, off: Parts = (), reach: Parts = (), job: Parts = ()
) -> tuple[Oddity, ...]:
    """What no rule forbids and nobody would do, the worst first, each with the line that mends it.

    Args:
        machine: The machine.
        off: The job whose order of work is looked at; without any of the three all of the machine, apart
            and together.
        reach: Likewise.
        job: Likewise, a job of the machine file by name.

    Raises:
        ArgumentError: The machine has no such part.
        UnreachableError: No order of work reaches the parts.
    """
    from sequencer.critic import findings
    from sequencer.critic.whole_order import job_of
    from sequencer.document.plans.critic import oddities

    arguments.machine(machine)
    wanted = arguments.any_of(off=off, reach=reach, job=job)
    plans = job_of(machine, arguments.targets(machine, off, reach, job) if wanted else ())
    return oddities(machine, findings(machine, *plans))


def operations_graph(machine: Machine, *, off: Parts = (), reach: Parts = (), job: Parts = ()) -> nx.DiGraph:
    """What waits for what, as a directed graph: an arc runs from what is waited for to what waits.

    A node is an operation by name, with the ``operation`` itself. A need that any one of several operations
    meets is a node of its own, ``(name, number)``, with ``any=True``. An arc has its ``reason``, and
    ``both=True`` where it holds only if both of its ends are done.

    Args:
        machine: The machine.
        off: Only what could come into a job for these parts; without any of the three the whole machine.
        reach: Likewise.
        job: Likewise, a job of the machine file by name.
    """
    from sequencer.graph import derive, goals, narrowed

    whole = derive(arguments.machine(machine))
    wanted = arguments.any_of(off=off, reach=reach, job=job)
    if wanted:
        whole, _ = narrowed(whole, goals(whole, arguments.targets(machine, off, reach, job)))
    return whole.to_networkx()
