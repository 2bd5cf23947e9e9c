"""Fluids: how they come out and go in again, and where one runs that nobody has drained."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.critic.case import Case, kind_name
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.critic.words import says
from sequencer.machine.kinds import Holds
from sequencer.machine.model import HAND, Joint, Part

CARRIED = ("coolant", "fuel", "oil", "hydraulic", "water")
"""Fluids that are known by name: each a sort, with another of what carries it."""

PIPED = frozenset({"hose", "clamp", "union", "banjo", "coupling", "seal", "plug"})
"""Kinds of joint through which a fluid comes."""


def drain_plug(case: Case) -> Iterator[Finding]:
    """A drain that is opened with a tool and that no step closes."""
    for fluid in case.machine.fluids.values():
        if fluid.plug is None and fluid.fill is not None and fluid.drain.tool != HAND:
            yield finding(Code.DRAIN_PLUG, Severity.COSTS, fluid, tool=fluid.drain.tool)


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
            wet = {*part.wet, *(one for joint in part.joints.values() for one in joint.wet)}
            its = fluid.name in wet or case.is_a("named-oil-filter", part)
            if its and case.is_a("oil-filter", part) and part.name not in fluid.with_parts:
                yield finding(Code.OIL_FILTER, Severity.COSTS, fluid, part=part.name)


def not_wet(case: Case) -> Iterator[Finding]:
    """A part or joint that a fluid runs out of, and that does not wait until it is drained."""
    for part in case.parts:
        for name in CARRIED:
            joint = _opened(case, part, name)
            if joint is None:
                continue
            fluids = [one for one in case.machine.fluids.values() if case.is_a(name, one)]
            wet = case.wet(part).union(*(j.wet for j in part.joints.values()))
            if not wet.isdisjoint(fluid.name for fluid in fluids) or _relieved(case, part):
                break
            if fluids and joint is not None:
                yield finding(Code.NOT_WET, Severity.COSTS, part, at=joint.place, fluid=fluids[0].name)
                break
            if not wet and case.is_a(f"carries-{name}", part):
                worst = Severity.HURTS if name in ("fuel", "hydraulic") else Severity.COSTS
                yield finding(Code.NO_FLUID, worst, part, at=joint.place, what=name)
                break


def wet_plug(case: Case) -> Iterator[Finding]:
    """An electrical plug for which a tank is emptied: `wet` of the part holds for it as well."""
    asked = {(atom.part, atom.joint) for atom in case.asked if atom.joint is not None}
    for part in case.parts:
        for joint in part.joints.values() if part.wet else ():
            alone = (part.name, joint.name) in asked or (part.loose and joint.name in part.loose.joints)
            if kind_name(joint) in ("connector", "terminal") and alone:
                yield finding(Code.WET_PLUG, Severity.AWKWARD, joint, fluid=part.wet[0])


def _opened(case: Case, part: Part, fluid: str) -> Joint | None:
    """The joint by which a part opens what this fluid runs in; None where none does."""
    carries = f"carries-{fluid}"
    whole = case.is_a(carries, part)
    for joint in part.joints.values():
        piped = kind_name(joint) in PIPED
        if piped and (whole or case.is_a(carries, joint)) and not _dry(case, part, joint):
            return joint
    bolted = [joint for joint in case.held_by(part, Holds.BEARING) if joint.kind not in PIPED]
    if whole and bolted and case.is_a("opens-fluid", part) and not _has_pipes(part):
        return bolted[0]
    return None


def _has_pipes(part: Part) -> bool:
    """Whether the file names hoses or unions of the part: then the fluid runs out there."""
    return any(kind_name(joint) in PIPED for joint in part.joints.values())


def _dry(case: Case, part: Part, joint: Joint) -> bool:
    """Whether air, vapour or a vacuum is in it, or it is the seal of something dry."""
    return case.is_a("dry", joint) or case.is_a("dry", part)


def _relieved(case: Case, part: Part) -> bool:
    """Whether a task before the part or its joints lets the fluid out, or shuts it off."""
    return any(case.is_a("relieved", task) for task in case.tasks_for(part))
