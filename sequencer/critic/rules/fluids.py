"""Fluids: how they come out and go in again, and where one runs that nobody has drained."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.critic.case import Case, bolted_down
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.critic.taken_for import says
from sequencer.machine.model import HAND, Fluid, Joint, Part
from sequencer.plan.looks.looks_kinds import kind_name

CARRIED = ("coolant", "fuel", "brake", "oil", "hydraulic", "water")
"""Fluids that are known by name: each a sort, with another of what carries it."""

HARMFUL = {
    "coolant": "surely-coolant",
    "fuel": "carries-fuel",
    "oil": "carries-oil",
    "hydraulic": "carries-hydraulic",
    "brake": "carries-brake",
}
"""Those that are asked for where the file has none, and by what; a little water does no harm."""

PIPED = frozenset({"hose", "clamp", "union", "banjo", "coupling", "seal", "plug"})
"""Kinds of joint through which a fluid comes."""

PIPES = frozenset({"hose", "union", "banjo", "coupling"})

EVERY_PIPE = frozenset({"water", "hydraulic"})
"""In a machine that has no other fluid than such a one, every pipe carries it."""


def drain_plug(case: Case) -> Iterator[Finding]:
    """A drain that is opened with a tool, or has a plug always, and that no step closes."""
    for fluid in case.machine.fluids.values():
        opened = fluid.drain.tool != HAND or case.is_a("behind-a-plug", fluid)
        if fluid.plug is None and fluid.fill is not None and opened and not _behind_a_plug(case, fluid):
            yield finding(Code.DRAIN_PLUG, Severity.COSTS, fluid)


def drained_by_hand(case: Case) -> Iterator[Finding]:
    """A drain that is opened by hand, and whose plug takes a tool; a cock may come before the plug."""
    for fluid in case.machine.fluids.values():
        opened = fluid.drain.tool == HAND and not says("by-a-cock", (*fluid.notes.all, *fluid.cautions.all))
        if opened and fluid.plug is not None and fluid.plug.tool != HAND:
            yield finding(Code.DRAINED_BY_HAND, Severity.AWKWARD, fluid, tool=fluid.plug.tool)


def _behind_a_plug(case: Case, fluid: Fluid) -> bool:
    """Whether a plug is a part of its own, which goes back with it."""
    parts = (case.machine.parts[atom.part] for need in fluid.drain.waits for atom in need.any_of)
    return any(kind_name(joint) == "plug" for part in parts for joint in part.joints.values())


def fill_level(case: Case) -> Iterator[Finding]:
    """A filling of which nobody says how much."""
    for fluid in case.machine.fluids.values():
        told = says("level", (*fluid.notes.all, *fluid.cautions.all))
        if fluid.fill is not None and fluid.volume_litres is None and not told:
            yield finding(Code.FILL_LEVEL, Severity.AWKWARD, fluid)


def oil_filter(case: Case) -> Iterator[Finding]:
    """Oil that comes out while its filter stays."""
    for fluid in case.machine.fluids.values():
        if not case.is_a("oil", fluid):
            continue
        for part in case.parts:
            its = fluid.name in case.spills(part) and case.is_a("oil-filter", part)
            if (its or case.is_a("named-oil-filter", part)) and part.name not in fluid.with_parts:
                yield finding(Code.OIL_FILTER, Severity.COSTS, fluid, part=part.name)


def not_wet(case: Case) -> Iterator[Finding]:
    """A part or joint that a fluid of the file runs out of, and that does not wait until it is drained."""
    for part in case.parts:
        for fluid in case.machine.fluids.values():
            opened = (_opened(case, part, name) for name in CARRIED if case.is_a(name, fluid))
            joint = next(filter(None, opened), None)
            if joint is not None:
                yield finding(Code.NOT_WET, Severity.COSTS, part, at=joint.place, fluid=fluid.name)
                break


def no_fluid(case: Case) -> Iterator[Finding]:
    """A part that something runs out of of which the file knows nothing."""
    known = known_fluids(case)
    for part in case.parts:
        for name, surely in HARMFUL.items():
            if name in known or not case.is_a(surely, part):
                continue
            joint = _opened(case, part, name)
            if joint is not None and not any(_opened(case, part, other) for other in known):
                worst = Severity.HURTS if name in ("fuel", "hydraulic", "brake") else Severity.COSTS
                yield finding(Code.NO_FLUID, worst, part, at=joint.place, what=name)
                break


def runs_over(case: Case) -> Iterator[Finding]:
    """A part between two fluids: as it lifts, the one that is not drained gets the rest of the other."""
    for part in case.parts:
        drained = [case.machine.fluids[name] for name in sorted(case.spills(part))]
        for kind in ("oil", "coolant") if drained and case.is_a("between-fluids", part) else ():
            left = [fluid for fluid in case.machine.fluids.values() if case.is_a(kind, fluid)]
            if left and not any(case.is_a(kind, fluid) for fluid in drained):
                yield finding(Code.RUNS_OVER, Severity.COSTS, part, fluid=left[0].name)


def wet_plug(case: Case) -> Iterator[Finding]:
    """An electrical plug for which a tank is emptied: `wet` of the part holds for it as well."""
    asked = {(atom.part, atom.joint) for atom in case.asked if atom.joint is not None}
    for part in case.parts:
        for joint in part.joints.values() if part.spills() else ():
            alone = (part.name, joint.name) in asked or (part.loose and joint.name in part.loose.joints)
            if kind_name(joint) in ("connector", "terminal") and alone:
                yield finding(Code.WET_PLUG, Severity.AWKWARD, joint, fluid=part.spills()[0])


def known_fluids(case: Case) -> frozenset[str]:
    """The sorts of fluids that the file has."""
    fluids = case.machine.fluids.values()
    return frozenset(name for name in CARRIED for fluid in fluids if case.is_a(name, fluid))


def _opened(case: Case, part: Part, fluid: str) -> Joint | None:
    """The joint by which a part opens what this fluid runs in; None where none does, or it is out by then."""
    if case.spills(part) or _relieved(case, part, fluid):
        return None
    carries = f"carries-{fluid}"
    whole = case.is_a(carries, part)
    only = fluid in EVERY_PIPE and known_fluids(case) - {"coolant"} == {fluid}
    if any(_on_the_bench(case, joint) for joint in part.joints.values()):
        return None
    for joint in sorted(part.joints.values(), key=lambda one: kind_name(one) not in PIPES):
        its = whole or case.is_a(carries, joint) or (only and kind_name(joint) in PIPES)
        other = only and not whole and _other(case, part, joint, fluid)
        if kind_name(joint) in PIPED and its and not other and not _dry(case, part, joint):
            return joint
    bolted = bolted_down(case, part)
    if whole and bolted and case.is_a("opens-fluid", part) and not _has_pipes(part):
        return bolted[0]
    return None


def _on_the_bench(case: Case, joint: Joint) -> bool:
    """Whether it has come off the machine by then, or `bench-fitted` says that it should."""
    first = next(iter(case.machine.positions))
    return joint.position != first and case.is_a("bench", case.machine.positions[joint.position])


def _other(case: Case, part: Part, joint: Joint, fluid: str) -> bool:
    """Whether something else than this fluid runs there."""
    others = [f"carries-{one}" for one in ("fuel", "brake", "oil", "hydraulic") if one != fluid]
    return any(case.is_a(one, part) or case.is_a(one, joint) for one in others)


def _has_pipes(part: Part) -> bool:
    """Whether the file names hoses or unions of the part: then the fluid runs out there."""
    return any(kind_name(joint) in PIPED for joint in part.joints.values())


def _dry(case: Case, part: Part, joint: Joint) -> bool:
    """Whether air, vapour or a vacuum is in it, or it is the seal of something dry."""
    return case.is_a("dry", joint) or case.is_a("dry", part)


def _relieved(case: Case, part: Part, fluid: str) -> bool:
    """Whether a task before the part or its joints lets the fluid out, or shuts it off."""
    first = (case.machine.tasks[name] for name in case.machine.first)
    shut = fluid == "fuel" and any(case.is_a("fuel-shut", task) for task in first)
    return shut or any(case.is_a("relieved", task) for task in case.tasks_for(part))
