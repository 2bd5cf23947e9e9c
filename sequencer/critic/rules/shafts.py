"""What turns: held against its own nut, on a taper or a key, with a belt whose tension is known."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.critic.case import Case, torque_nm
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.critic.taken_for import says
from sequencer.graph.operations import Kind
from sequencer.machine.model import Joint, Part, State
from sequencer.machine.trade.kinds import Holds
from sequencer.plan.looks.looks_kinds import kind_name

TURNS_NM = 15
"""From this torque up it turns the shaft before it is tight (common practice)."""


def counter_hold(case: Case) -> Iterator[Finding]:
    """A central nut or bolt that turns its own shaft, and nothing holds that."""
    for part, joint in _central(case):
        hard = torque_nm(joint) >= TURNS_NM or joint.sealing is not None or joint.crack is not None
        if hard and not _held(case, part, joint):
            yield finding(Code.COUNTER_HOLD, Severity.COSTS, joint)


def crack_hold(case: Case) -> Iterator[Finding]:
    """A joint cracked while something holds it that holds nothing against turning."""
    for part in case.parts:
        for joint in part.joints.values():
            parts = [case.machine.parts[name] for name in (joint.crack.while_parts if joint.crack else ())]
            if parts and all(case.is_a("no-hold", one) for one in parts) and not _holders(case, part, joint):
                yield finding(Code.CRACK_HOLD, Severity.COSTS, joint, part=parts[0].name)


def crack_slack(case: Case) -> Iterator[Finding]:
    """A joint cracked against a belt that another part keeps tight, and that part may be slack by then."""
    for part in case.parts:
        for joint in part.joints.values():
            held = joint.crack.while_parts if joint.crack else ()
            before = case.without(Kind.CRACK.of(joint.path)) if held else frozenset()
            for belt in (case.machine.parts[name] for name in held):
                needs = (need for need in case.needs_of(belt) if case.is_a("belt", belt))
                tight = {atom.part for need in needs for atom in need.any_of if atom.state is State.LOOSE}
                for other in sorted(tight.difference(held)):
                    if Kind.LOOSEN.of(other) in before:
                        names = (*held, other)
                        yield finding(
                            Code.CRACK_SLACK, Severity.COSTS, joint, part=belt.name, other=other, names=names
                        )


def holder_away(case: Case) -> Iterator[Finding]:
    """A holding tool that comes before a joint, and that no rule sets up again for its torque."""
    for part in case.parts:
        for joint in part.joints.values() if case.is_a("turning", part) else ():
            for name in (*part.needs, *joint.needs) if joint.torque and not joint.crack else ():
                task = case.machine.tasks[name]
                bears = task.helps  # set up again by a rule of its own
                if not bears and case.is_a("holds-turning", task):
                    yield finding(Code.HOLDER_AWAY, Severity.COSTS, task, joint=joint.path)


def no_taper(case: Case) -> Iterator[Finding]:
    """A turning part on one central nut, of which nobody says how it sits on its shaft."""
    for part, _ in _central(case):
        fits = any(kind_name(one) in ("fit", "pin") for one in part.joints.values())
        alone = len(case.held_by(part, Holds.BEARING)) == 1
        if alone and not fits and not case.tells("keyed", part):
            yield finding(Code.NO_TAPER, Severity.AWKWARD, part)


def taper_nut(case: Case) -> Iterator[Finding]:
    """A part drawn off its taper with the nut quite off: it flies at whoever pulls it."""
    for part, nut in _central(case):
        for joint in part.joints.values():
            after = any(atom.joint == nut.name for need in joint.waits for atom in need.any_of)
            pulled = case.tool_is_a("puller", joint.tool) and kind_name(joint) == "fit"
            if pulled and after and not case.tells("flush", part):
                yield finding(Code.TAPER_NUT, Severity.HURTS, part, at=joint.place)


def key_first(case: Case) -> Iterator[Finding]:
    """A key that may be out before the nut that keeps its hub over it."""
    for part, nut in _central(case):
        for joint in part.joints.values():
            key = kind_name(joint) == "pin" and case.is_a("key", joint)
            if key and Kind.UNDO.of(part.name, joint.name) in case.without(Kind.UNDO.of(part.name, nut.name)):
                yield finding(Code.KEY_FIRST, Severity.AWKWARD, joint, joint=nut.path)


def tension(case: Case) -> Iterator[Finding]:
    """A belt or a chain that is tightened, and nobody says how tight; a sprung idler sees to it itself."""
    for part in case.parts:
        for joint in part.joints.values():
            said = (*part.cautions.all, *part.notes.all, *part.prepare, *joint.cautions.all, *joint.notes.all)
            tool = case.machine.tools.get(joint.tool)
            screwed = tool is not None and tool.drive is not None and not case.is_a("sprung", joint)
            set_by_hand = joint.torque is not None or screwed
            if kind_name(joint) == "tensioner" and set_by_hand and not says("tension-said", said):
                yield finding(Code.TENSION, Severity.AWKWARD, part, at=joint.place)
                break


def behind_belt(case: Case) -> Iterator[Finding]:
    """A pulley whose bolts wait until the belt is off: it would have held it, and nothing else does."""
    for part in case.parts:
        if not case.is_a("pulley", part):
            continue
        turned = case.held_by(part, Holds.BEARING) or case.bearing(part)
        bare = [joint for joint in turned if not _holders(case, part, joint)]
        for need in part.to_reach:
            atom = need.any_of[0]
            belt = atom.joint is None and case.is_a("belt", case.machine.parts[atom.part])
            if len(need.any_of) == 1 and belt and bare:
                yield finding(Code.BEHIND_BELT, Severity.AWKWARD, part, at=need.place, other=atom.part)
                break


def _central(case: Case) -> Iterator[tuple[Part, Joint]]:
    """Turning parts, each with the one nut or bolt in the middle."""
    for part in case.parts:
        if not case.is_a("turning", part):
            continue
        for joint in part.joints.values():
            several = joint.count > 1 or joint.name.endswith("s")
            if kind_name(joint) in ("nut", "bolt") and not several:
                yield part, joint
                break


def _held(case: Case, part: Part, joint: Joint) -> bool:
    """Whether something in the file holds a part against turning."""
    if joint.crack is not None or _holders(case, part, joint):
        return True
    texts = (*part.cautions.all, *part.notes.all, *joint.cautions.all, *joint.notes.all)
    labels = (joint.label or "", part.label or "")
    return any(case.name_is_a("holds-turning", text) for text in (*texts, *labels))


def _holders(case: Case, part: Part, joint: Joint) -> bool:
    """Whether a task before a joint holds it against turning, or a tool of it does."""
    serving = [task for task in case.tasks if joint.path in task.steadied]
    tasks = (*case.tasks_for(part, joint), *serving)
    return any(task.steadied or case.is_a("holds-turning", task) for task in tasks) or case.tool_is_a(
        "holds-turning", joint.tool
    )
