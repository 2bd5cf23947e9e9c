"""What a script can call; ``import sequencer`` has these names, and loads this file when the first is used.

Every function checks its arguments before it does anything: one of the wrong type is a ``TypeError``, one
that says nothing sensible an ``ArgumentError``, and a fault of a file a ``MachineFileError`` with all its
faults. The last two are ``SequencerError``, as everything is that the caller can mend.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sequencer.door import arguments
from sequencer.door.arguments import ArgumentError, File, Parts, Watch
from sequencer.machine import Machine, MachineFileError, Reading
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.plan import Plan, Refit, Teardown
from sequencer.plan.practice.rules import Practice

if TYPE_CHECKING:
    import networkx as nx

    from sequencer.document.comparing.differences import MachineDifference
    from sequencer.document.plans.critic import Oddity
    from sequencer.job.desk import Desk
    from sequencer.machine.catalogue import ShippedModel
    from sequencer.machine.survey import Survey
    from sequencer.plan.blockers import InTheWay
    from sequencer.plan.evenings.sittings import Evenings

# ---- The machine ----


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


# ---- Plans ----


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


# ---- The job ----


def begin_job(
    folder: File,
    removal: Teardown,
    *,
    title: str = "",
    job: Parts = (),
    people: Iterable[str] = (),
    toolbox: File | None = None,
    sittings: Iterable[int] = (),
    database: str | None = None,
    person: str | None = None,
    device: str | None = None,
) -> Desk:
    """Make a job's folder for a plan, with its own copy of the machine file, and open it.

    Args:
        folder: The folder to make: new, or empty.
        removal: The plan that the job begins with.
        title: What the job is called; else the machine and what is taken off it.
        job: The jobs of the machine file that it is, by name: what they renew by experience is remembered.
        people: Who works at it.
        toolbox: The person's toolbox file.
        sittings: How long the sittings may be, each in minutes.
        database: A URL of a database for the journal, if not a file in the folder.
        person: In whose name, as for ``open_job``.
        device: On which device.

    Raises:
        SequencerError: The folder is taken, or can't be made.
    """
    from sequencer.document.plans.plan import aims_of
    from sequencer.job.changes.begin import begin, copied
    from sequencer.job.desk import Desk
    from sequencer.job.whose import who

    if not isinstance(removal, Teardown):
        raise TypeError(f"removal is a plan from plan_removal, not {arguments.kind(removal)}")
    names = arguments.names("people", people)
    minutes = [arguments.whole("sittings", one) for one in arguments.several("sittings", sittings)]
    by = who(names, person, device)
    made = begin(
        arguments.path("folder", folder),
        removal,
        copied(Path(removal.machine.file)),
        by,
        title=title or f"{removal.machine.name}: {aims_of(removal)}",
        jobs=[arguments.typical(removal.machine, one).name for one in arguments.several("job", job)],
        people=names,
        toolbox=None if toolbox is None else arguments.path("toolbox", toolbox),
        sittings=minutes,
        database=database,
    )
    return Desk(made, by)


def open_job(folder: File | None = None, *, person: str | None = None, device: str | None = None) -> Desk:
    """A job under way; leave its ``with`` block, or ``close`` it, when you are done.

    Args:
        folder: The job's folder or one below it; else that of ``SEQUENCER_JOB``, or the working folder.
        person: Who acts; else the job's one person, or whoever is logged in.
        device: On which device; else that of ``SEQUENCER_DEVICE``, or this computer.

    Raises:
        NoJobError: There is no job.
        SequencerError: Its card or its journal can't be read.
    """
    from sequencer.job.whose import open_desk

    return open_desk(None if folder is None else arguments.path("folder", folder), person, device)


def _html(plan: Plan) -> str:
    from sequencer.render.notebook import plan_html

    return plan_html(plan)


Plan.shown_by = _html
