"""A machine file with all written into it that the format page leaves to the program's own defaults.

So the independent reading, which knows the page alone, can read what ships: usual times by kind, the tool
that follows from kind and head, what is done up by hand. What the page itself fixes is left as it stands.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

from sequencer.machine import Machine
from tests.support.plain_assembly import joined
from tests.support.plain_machine import as_text


def spelled_out(path: Path, machine: Machine) -> str:
    """The text of the file at ``path``, which is read as ``machine``, with what it includes written out."""
    yaml = YAML(typ="safe")
    text = joined(yaml.load(path), lambda name: yaml.load(path.parent / "assemblies" / f"{name}.yaml"))
    text["tools"] = {name: {"drive": tool.drive or "none"} for name, tool in machine.tools.items()}
    for name, part in text["parts"].items():
        for joint, about in ((part or {}).get("joints") or {}).items():
            read = machine.parts[name].joints[joint]
            about["tool"] = read.tool
            if read.seconds_from != "file":
                about["time"] = f"{read.seconds} s"
            if read.fit is not None and "tool" in about["fit"]:
                about["fit"]["tool"] = read.fit.tool
            if read.torque is None:
                about.pop("torque", None)  # it says why it wants no figure
    for task, about in (text.get("tasks") or {}).items():
        read_task = machine.tasks[task]
        _done_so(about, read_task)
        if about.get("undo"):
            _done_so(about["undo"], read_task.undo)
    for fluid, about in (text.get("fluids") or {}).items():
        read_fluid = machine.fluids[fluid]
        for work, read_work in (("drain", read_fluid.drain), ("fill", read_fluid.fill)):
            if read_work is not None:
                about[work] = about.get(work) or {}
                _done_so(about[work], read_work)
        if read_fluid.plug is not None:
            about["drain"]["plug"]["tool"] = read_fluid.plug.tool
    return as_text(text)


def _done_so(about: dict[str, Any], read: Any) -> None:
    """A task, its undoing, a drain or a filling, with its tool and its time."""
    about["tool"] = read.tool
    about.setdefault("time", f"{read.seconds} s")
