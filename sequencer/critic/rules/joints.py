"""Joints: the tool that only pulls, gaskets that stay, feet before the flange, what is only in the way."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.critic.case import Case, bolted_down
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.critic.taken_for import says
from sequencer.machine.model import Joint, Part, State
from sequencer.machine.trade.kinds import Holds
from sequencer.plan.looks.looks_kinds import kind_name

GOES_BACK = frozenset({"pin", "rivet", "circlip", "clip", "latch", "hook", "spring", "tensioner"})
"""Kinds of joint that go together with a bar, a punch or by hand, whatever took them apart."""

FLANGED_KG = 5
"""From this weight up a part hangs in its flange once its feet are loose."""


def removal_tool(case: Case) -> Iterator[Finding]:
    """A joint that would go together with what it was pulled apart with."""
    for part in case.parts:
        for joint in part.joints.values():
            if (
                joint.fit is None
                and (kind_name(joint) not in GOES_BACK or case.tool_is_a("puller", joint.tool))
                and case.tool_is_a("removal-tool", joint.tool)
            ):
                worst = kind_name(joint) == "seal" and case.tool_is_a("strikes", joint.tool)
                severity = Severity.HURTS if worst else Severity.COSTS
                yield finding(Code.REMOVAL_TOOL, severity, joint, tool=joint.tool)


def old_gasket(case: Case) -> Iterator[Finding]:
    """A gasket that is a part of its own behind another, and stays when that one comes off."""
    for gasket in case.parts:
        if not case.is_a("gasket", gasket):
            continue
        for need in gasket.to_reach:
            atom = need.any_of[0]
            if len(need.any_of) > 1 or atom.joint is not None:
                continue
            over = case.machine.parts[atom.part]
            if not _new(over) and gasket.name not in case.behind_off[over.name]:
                yield finding(Code.OLD_GASKET, Severity.COSTS, over, other=gasket.name)
                break


def no_renewal(case: Case) -> Iterator[Finding]:
    """A face or a joint that seals, with nothing new on it."""
    gaskets = {
        atom.part
        for gasket in case.parts
        if case.is_a("gasket", gasket)
        for need in gasket.to_reach
        for atom in need.any_of
    }
    for part in case.parts:
        if part.renew or part.sealing or part.name in gaskets or any(j.sealing for j in part.joints.values()):
            continue
        seal = next((one for one in part.joints.values() if kind_name(one) in ("seal", "banjo")), None)
        ride = part.stays_with
        bolted = [one for one in bolted_down(case, part) if one.name not in ride]
        wet = bool(case.spills(part)) and case.is_a("sealed-wet", part)
        if seal is None and not (bolted and (wet or case.is_a("sealed-face", part))):
            continue
        if not case.tells("no-gasket", part):
            yield finding(Code.NO_RENEWAL, Severity.AWKWARD, part)


def feet_first(case: Case) -> Iterator[Finding]:
    """A part between a flange and its feet: feet that are tight first bend it."""
    for part in case.parts:
        if (part.weight_kg or 0) < FLANGED_KG:
            continue
        feet = [one for one in case.held_by(part, Holds.BEARING) if case.is_a("feet", one)]
        flange = [one for one in case.held_by(part, Holds.BEARING) if case.is_a("flange", one)]
        told = any(one.settle for one in feet) or {one.face for one in feet} & {
            one.face for one in flange
        } - {None}
        if feet and flange and not told and not _ordered(feet, flange):
            yield finding(
                Code.FEET_FIRST,
                Severity.COSTS,
                part,
                at=feet[0].place,
                joint=feet[0].path,
                other=flange[0].path,
            )


def behind_whole(case: Case) -> Iterator[Finding]:
    """A part that waits until a hose or cable is off at both ends, where one would do."""
    seen: set[str] = set()
    for part in case.parts:
        for need in part.to_reach:
            atom = need.any_of[0]
            if (
                len(need.any_of) > 1
                or atom.joint is not None
                or atom.state is not State.OFF
                or atom.part in seen
            ):
                continue
            other = case.machine.parts[atom.part]
            if case.is_a("line", other) and len(other.joints) > 1 and not other.renew:
                seen.add(other.name)
                yield finding(
                    Code.BEHIND_WHOLE,
                    Severity.AWKWARD,
                    part,
                    at=need.place,
                    other=other.name,
                    joint=next(iter(other.joints.values())).path,
                )


def frees_nothing(case: Case) -> Iterator[Finding]:
    """A state that undoes nothing though fasteners hold the part; or a target for which nothing waits."""
    asked = {(atom.part, atom.state) for atom in case.asked if atom.joint is None}
    targets = {(target.part, target.state) for target in case.targets}
    for part in case.parts:
        for state, freedom in ((State.LOOSE, part.loose), (State.ASIDE, part.aside)):
            if freedom is None:
                continue
            fast = not freedom.joints and case.held_by(part, Holds.BEARING) and (part.name, state) in asked
            if fast or ((part.name, state) in targets and not any(one == part.name for one, _ in asked)):
                code = Code.STATE_FAST if fast else Code.FREES_NOTHING
                yield finding(code, Severity.AWKWARD, part, at=freedom.place, state=state.word)


def panel_plug(case: Case) -> Iterator[Finding]:
    """Plugs at the back of a panel that are pulled before it is loose."""
    for part in case.parts:
        screws = [
            j for j in part.joints.values() if kind_name(j) in ("screw", "bolt", "clip", "latch", "hook")
        ]
        if not screws or not case.is_a("panel", part):
            continue
        for joint in part.joints.values():
            own = {atom.joint for need in joint.waits for atom in need.any_of if atom.part == part.name}
            if kind_name(joint) == "connector" and not own:
                yield finding(
                    Code.PANEL_PLUG,
                    Severity.AWKWARD,
                    part,
                    at=joint.place,
                    joint=joint.path,
                    other=screws[0].path,
                )
                break


def _new(part: Part) -> bool:
    return says("gasket-said", [renewal.item for renewal in part.renew])


def _ordered(feet: list[Joint], flange: list[Joint]) -> bool:
    """Whether one group waits for the other, by `when`."""
    paths = {one.path for one in (*feet, *flange)}
    return any(name in paths for one in (*feet, *flange) if one.torque for _, name in one.torque.when)
