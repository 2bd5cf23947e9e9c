"""The torque wrench that a reading was taken with, judged by the rules by which a plan chooses one."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from datetime import date

from sequencer.machine.model import Joint
from sequencer.plan.closing.toolbox import wrenches_for
from sequencer.quantities import TorqueQuantity
from sequencer.torque.wrenches.toolbox import Toolbox
from sequencer.torque.wrenches.wrench import calibration, wrench_setting


@dataclass(frozen=True)
class Used:
    """A wrench that was used.

    Attributes:
        name: As the toolbox has it, or as it was said; empty where nobody said and nothing suggests one.
        suggested: Nobody said it; it is the one that the toolbox suggests.
        problem: Why nothing that is read on it holds: out of its range, or in no toolbox.
        caution: What to know of it on that day: its calibration.
    """

    name: str = ""
    suggested: bool = False
    problem: str = ""
    caution: str = ""


def wrench_used(
    joint: Joint, read: TorqueQuantity | None, said: str | None, box: Toolbox | None, day: date
) -> Used:
    """The wrench of a reading; without a toolbox there is nothing to judge it by.

    Args:
        joint: What was tightened.
        read: The torque that was read; None for a turn by angle, which needs none.
        said: What the person calls it; None: the one that the toolbox suggests.
        box: The toolbox, where the job names one.
        day: The day of the reading, by which a calibration is due or not.
    """
    name = (said or "").strip()
    if box is None or read is None:
        return Used(name)
    suggested = suggestion(joint, read, box, day)
    wanted = name or suggested
    if not wanted:
        return Used(caution="nobody said which wrench, and none in the toolbox serves")
    wrench = next((one for one in box.wrenches if one.name.casefold() == wanted.casefold()), None)
    if wrench is None:
        known = [one.name for one in box.wrenches]
        near = difflib.get_close_matches(name, known, n=1)
        there = f"did you mean {near[0]}" if near else f"it has {', '.join(known) or 'none'}"
        return Used(name, problem=f"the toolbox has no torque wrench {name}; {there}")
    serves = wrench_setting(wrench, read.newton_metres, day)
    state = calibration(wrench, day)
    return Used(
        wrench.name,
        not name,
        serves if isinstance(serves, str) else "",
        "" if state.overdue is False else state.message,
    )


def suggestion(joint: Joint, read: TorqueQuantity | None, box: Toolbox, day: date) -> str:
    """The wrench that the toolbox suggests for the stage nearest to a torque; empty where none serves it."""
    rows = wrenches_for(joint, box, day).stages
    if read is None:
        served = [row.setting for row in rows if row.setting]
        return served[-1].wrench.name if served else ""
    stages = joint.torque.stages if joint.torque else ()
    torques = (stage.newton_metres for stage in stages if isinstance(stage, TorqueQuantity))
    off = {number: abs(torque - read.newton_metres) for number, torque in enumerate(torques)}
    nearest = rows[min(off, key=off.__getitem__)].setting if off else None
    return nearest.wrench.name if nearest else ""
