"""``sequencer torque --joint``: one joint of a machine file, and its picture."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sequencer.machine.model import Joint, Machine
    from sequencer.torque.wrenches.toolbox import Toolbox


def show_joint(
    machine: str,
    path: str,
    to: str | None,
    box: Toolbox | None,
    output: Path | None,
    *,
    loosening: bool,
    as_json: bool,
) -> None:
    """Write the joint's picture if one is asked for, and print what there is to know of it."""
    from sequencer.cli.shared.options import load_machine
    from sequencer.cli.shared.output import console, print_json
    from sequencer.cli.shared.toolbox import today
    from sequencer.document.steps.joint import joint_lines
    from sequencer.plan.closing.toolbox import wrenches_for
    from sequencer.quantities import parse_torque_unit
    from sequencer.render.data.torques.torque import joint_json
    from sequencer.render.lines import hanging

    unit = None if to is None else parse_torque_unit(to)
    read = load_machine(Path(machine))
    joint = _named(read, path)
    if output is not None:
        _draw(read, joint, output, loosening=loosening)
    wrenches = None if box is None else wrenches_for(joint, box, today())
    if as_json:
        print_json(joint_json(joint, unit, wrenches))
        return
    out = console()
    for number, line in enumerate(joint_lines(read, joint, unit, wrenches)):
        hanging(out, line, style="" if number else "bold", hang=2 if number else 0)


def _named(machine: Machine, path: str) -> Joint:
    """The joint that --joint names."""
    from sequencer.cli.shared.options import target_given
    from sequencer.errors import SequencerError

    target = target_given(machine, path, "--joint")
    if target.joint is None:
        names = ", ".join(f"{target.part}/{name}" for name in machine.parts[target.part].joints)
        raise SequencerError(
            f"--joint {path}: that is a part", f"its joints are {names}" if names else "it has none"
        )
    return machine.joint(target.part, target.joint)


def _draw(machine: Machine, joint: Joint, output: Path, *, loosening: bool) -> None:
    from sequencer.cli.shared.output import kind_of, write_output
    from sequencer.render.pictures.joint import joint_picture

    kind_of(output, ("svg",), bare="svg")
    write_output(output, joint_picture(machine, joint, loosening=loosening).encode())
