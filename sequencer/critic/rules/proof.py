"""Proof at the end: that a joint is tight before it is closed in, and that the machine runs."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.critic.case import Case
from sequencer.critic.finding import Code, Finding, Named, Severity, finding
from sequencer.critic.taken_for import says
from sequencer.machine.model import State, Task
from sequencer.plan.hazards.phrases import words_of
from sequencer.plan.looks.looks_kinds import kind_name

EARTHED = frozenset({"bolt", "nut", "screw", "terminal", "fastener", "connector"})
"""Kinds of joint that make an earth."""

_WITHOUT = frozenset({"off", "without", "before", "seat", "bore", "place", "opening", "blank", "cap"})
"""A label with one of these words speaks of where the part belongs, or of its being away."""

MENTIONED = ("jack", "pressure cap", "pit")
"""Things that cautions speak of; each with two sorts: how a text says it, and what bears it out."""


def no_proof(case: Case) -> Iterator[Finding]:
    """A fluid whose joints are behind covers again before anybody has looked at them."""
    for fluid in case.machine.fluids.values():
        if fluid.fill is None or _proved(case, fluid.name):
            continue
        for part in case.parts:
            over = sorted(case.behind_off[part.name])
            covers = tuple(one for one in over if case.is_a("cover", case.machine.parts[one]))
            if covers and fluid.name in case.spills(part):
                yield finding(Code.NO_PROOF, Severity.COSTS, fluid, part=part.name, covers=covers)
                break


def no_first_run(case: Case) -> Iterator[Finding]:
    """A machine that gets its energy back, and that nobody tries."""
    if any(task.only_back for task in case.tasks) or any(_tries(case, task) for task in case.tasks):
        return
    for task in case.tasks:
        if task.undo is not None and case.is_a("energy", task):
            yield finding(Code.NO_FIRST_RUN, Severity.COSTS, task)
            return


def run_open(case: Case) -> Iterator[Finding]:
    """A trial that is to come after a part, as its author thinks, and is done while that is off."""
    for task in case.tasks:
        if not (task.only_back and set(task.undone) & set(case.machine.first)):
            continue
        atoms = (need.any_of[0] for need in task.waits if len(need.any_of) == 1)
        if off := tuple(atom.part for atom in atoms if atom.joint is None and atom.state is State.OFF):
            live = next(name for name in task.undone if name in case.machine.first)
            yield finding(Code.RUN_OPEN, Severity.HURTS, task, parts=off, live=live)


def set_open(case: Case) -> Iterator[Finding]:
    """Work of the way back on a part that it names, as its author thinks, and that is still off by then."""
    for task in case.tasks:
        said = words_of(task.label or "")
        atoms = (need.any_of[0] for need in task.waits if len(need.any_of) == 1)
        off = (atom.part for atom in atoms if atom.joint is None and atom.state is State.OFF)
        named = tuple(name for name in off if words_of(name.replace("-", " ")) <= said)
        if task.only_back and named and said.isdisjoint(_WITHOUT):
            yield finding(Code.SET_OPEN, Severity.COSTS, task, parts=named)


def run_dead(case: Case) -> Iterator[Finding]:
    """A run of the machine that does not wait for its energy: what is back by then is left to chance."""
    live = next((n for n in case.machine.first if case.is_a("energy", case.machine.tasks[n])), None)
    if live is None or case.machine.tasks[live].undo is None:
        return
    for task in case.tasks:
        if task.only_back and case.is_a("runs", task) and live not in _awaited(case, task):
            yield finding(Code.RUN_DEAD, Severity.HURTS, task, live=live)


def _awaited(case: Case, task: Task) -> set[str]:
    """The tasks that are done or undone before one of the way back, be it by way of others."""
    found: set[str] = set()
    fresh = [*task.undone, *task.after]
    while fresh:
        if (name := fresh.pop()) not in found:
            found.add(name)
            other = case.machine.tasks[name]
            fresh += (*other.undone, *other.after) if other.only_back else ()
    return found


def earth_check(case: Case) -> Iterator[Finding]:
    """An earth that was undone and that nobody measures or looks at."""
    if any(case.is_a("checks-earth", task) for task in case.tasks):
        return
    for part in case.parts:
        for joint in part.joints.values():
            earth = case.is_a("earth", joint) or case.is_a("earth", part)
            if earth and kind_name(joint) in EARTHED and not case.tells("earth-said", part, joint):
                yield finding(Code.EARTH_CHECK, Severity.COSTS, joint)
                break


def off_mark(case: Case) -> Iterator[Finding]:
    """A caution that speaks of a thing that is nowhere in the file."""
    things: tuple[Named, ...] = (*case.parts, *case.tasks, *case.machine.fluids.values())
    for thing in things:
        for text in thing.cautions.all:
            for what in MENTIONED:
                if says(f"says-{what}", [text]) and not _is_there(case, what):
                    yield finding(Code.OFF_MARK, Severity.AWKWARD, thing, what=what)


def _is_there(case: Case, what: str) -> bool:
    """Whether something in the file bears the word out."""
    machine, kind = case.machine, f"has-{what}"
    named: tuple[Named, ...] = (
        *case.parts,
        *case.tasks,
        *machine.positions.values(),
        *machine.fluids.values(),
    )
    return any(case.is_a(kind, one) for one in named) or any(
        case.tool_is_a(kind, one) for one in machine.tools
    )


def _tries(case: Case, task: Task) -> bool:
    """Whether something is tried or looked at when a task is undone."""
    return task.undo is not None and case.name_is_a("tries", task.undo.label)


def _proved(case: Case, fluid: str) -> bool:
    """Whether a task of the way back comes after the filling of a fluid."""
    return any(task.only_back and fluid in task.filled for task in case.tasks)
