"""A machine file from somebody else: what in it would be odd, dangerous or a burden, beside its plain faults.

It is data and never an instruction, and stands alone: it names no other file. What belongs into no text,
names that are none, texts and figures beyond all that is worked on by hand are refused, all at once.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path as FilePath
from typing import Any

from sequencer.machine.assembly.shelf import ENDINGS
from sequencer.machine.checks.typical_checks import JOBS
from sequencer.machine.faults import Fault, Faults, MachineFileError, quote
from sequencer.machine.model import Fluid, Joint, Machine, Part, Place, Task
from sequencer.machine.reader.repeat import SECTIONS
from sequencer.machine.reader.source import read_source
from sequencer.machine.reader.yaml_tree import Path, Tree, compose
from sequencer.machine.reading import read_text
from sequencer.machine.written_out import whole
from sequencer.quantities import TorqueQuantity

MOST_PARTS = 1000
LONGEST_NAME = 80
LONGEST_TEXT = 2000
MOST_SIGNS_TOLD = 20
MOST_OF_ONE, MOST_KG, MOST_LITRES, MOST_NM = 500, 20_000, 5_000, 20_000
LONGEST = Fraction(100 * 3600)
DEAREST = 100_000

_HIDDEN = re.compile(
    "[\u00ad\u061c\u200b\u200e\u200f\u2028\u2029\u202a-\u202e\u2060-\u2069\ufff9-\ufffb\U000e0000-\U000e007f]"
)
"""Signs that turn the reading direction or can't be seen (Unicode, UAX #9 and UTR #36): the text that you
read is not the one that is there. Those that join letters within a word are not among them."""
_NAME = re.compile(r"\w(?:[\w .,+()&°'’-]*[\w.+)°'’])?")
_MARK = re.compile(r"<[\w.]+>")
"""What `repeat` puts a value for, as the text has it; in the machine that it comes to none is left."""


@dataclass(frozen=True)
class Incoming:
    """A machine file that was found good.

    Attributes:
        machine: What it says.
        data: The same as its text has it, with all written out.
        head: The comments that stand over it.
        warnings: What is odd about it.
    """

    machine: Machine
    data: dict[str, Any]
    head: tuple[str, ...]
    warnings: tuple[Fault, ...]


def incoming(path: FilePath) -> Incoming:
    """The machine file at ``path``, which somebody else has made.

    Raises:
        MachineFileError: With everything that is wrong with it.
    """
    faults, name = Faults(), str(path)
    text = read_source(path, faults)
    if text is None:
        raise MachineFileError(faults.sorted())
    _check_signs(text, name, faults)
    tree = compose(text, name, faults)
    if not faults.fatal or isinstance(tree.data, dict):
        _check_tree(tree, text, faults)
    # It lies nowhere: what it names beside it can't be looked for, let alone read.
    reading = read_text(text, name)
    told = _told(faults)
    for fault in reading.faults:
        if _where(fault.place) not in told:
            faults.add(fault)
    if reading.machine is not None:
        _check_figures(reading.machine, faults)
    if faults.fatal or reading.machine is None:
        raise MachineFileError(faults.sorted())
    written = whole(tree, Faults(), None)
    assert written is not None
    data = {key: one for key, one in written.tree.data.items() if key not in ("include", "repeat")}
    return Incoming(reading.machine, data, tuple(_head(text)), faults.sorted())


def _where(place: Place) -> tuple[int, int]:
    """Which text it is, whatever value of ``repeat`` it was read for."""
    return place.line, place.column


def _told(faults: Faults) -> set[tuple[int, int]]:
    return {_where(one.place) for one in faults.sorted() if one.severity == "error"}


def _head(text: str) -> Iterator[str]:
    for line in text.splitlines():
        if not line.startswith("#"):
            break
        yield line.removeprefix("#").strip()


def _check_signs(text: str, name: str, faults: Faults) -> None:
    for number, found in enumerate(_HIDDEN.finditer(text)):
        line = text.count("\n", 0, found.start()) + 1
        place = Place(name, line, found.start() - text.rfind("\n", 0, found.start()))
        if number == MOST_SIGNS_TOLD:
            faults.error(place, "and there are more such signs", "take them out")
            return
        _note_sign(place, found[0], faults)


def _note_sign(place: Place, sign: str, faults: Faults) -> None:
    problem = f"there is a sign that nobody sees or that turns the text round (U+{ord(sign):04X})"
    faults.error(place, problem, "take it out")


def _check_tree(tree: Tree, written: str, faults: Faults) -> None:
    """Names, texts and links, as the text ``written`` has them."""
    data = tree.data if isinstance(tree.data, dict) else {}
    for section in (*SECTIONS, JOBS):
        entries = data.get(section)
        for name, about in entries.items() if isinstance(entries, dict) else ():
            _check_name(tree, (section, name), name, faults)
            joints = about.get("joints") if isinstance(about, dict) else None
            for joint in joints if isinstance(joints, dict) else ():
                _check_name(tree, (section, name, "joints", joint), joint, faults)
    for path, text in _texts(data, ()):
        found = _HIDDEN.search(f"{text}{path[-1]}")
        if found and found[0] not in written:  # spelt out between quotes: "\u202e"
            _note_sign(tree.place(path), found[0], faults)
        if path[0] in ("include", "parts") and (fault := _link(path, text)):
            faults.error(tree.place(path), *fault)
        elif len(text) > LONGEST_TEXT:
            problem = f"this text has {len(text):,} letters"
            faults.error(tree.place(path), problem, f"write what there is to say in {LONGEST_TEXT:,}")


def _check_name(tree: Tree, path: Path, name: str, faults: Faults) -> None:
    if len(name) > LONGEST_NAME:
        problem = f"`{quote(name)}` has {len(name):,} letters"
        faults.error(tree.place(path, key=True), problem, f"give it a name of at most {LONGEST_NAME}")
    elif not _NAME.fullmatch(_MARK.sub("x", name)):
        remedy = "a name that comes from others has letters, digits, blanks and . , + & ( ) - alone"
        faults.error(tree.place(path, key=True), f"`{quote(name)}` can't be taken over as a name", remedy)


def _link(path: Path, text: str) -> tuple[str, str] | None:
    """What is wrong with a text that names a file."""
    if path[-1] == "mesh" and len(path) == 3:
        return (
            f"`{quote(text)}` is a file beside this one",
            "a file from others stands alone: write a box, or take it out",
        )
    if path[0] == "include" and text.endswith(ENDINGS):
        return (
            f"`{quote(text)}` is a file beside this one",
            "have it exported with: sequencer export FILE --machine",
        )
    return None


def _texts(value: Any, path: Path) -> Iterator[tuple[Path, str]]:  # noqa: ANN401 - whatever the file has there
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, dict | list):
        for step, one in value.items() if isinstance(value, dict) else enumerate(value):
            yield from _texts(one, (*path, step))


def _check_figures(machine: Machine, faults: Faults) -> None:
    """Figures that nothing has that is worked on by hand."""
    top = Place(machine.file, 1, 1)
    if len(machine.parts) > MOST_PARTS:
        faults.error(
            top, f"it has {len(machine.parts):,} parts", f"describe the machine in at most {MOST_PARTS:,}"
        )
    for part in machine.parts.values():
        _most(part.weight_kg, MOST_KG, "kg", part.place, faults)
        _most(part.seconds, LONGEST, "s", part.place, faults)
        for renewal in part.renew:
            _most(renewal.price, DEAREST, "for one", part.place, faults)
        for joint in part.joints.values():
            _check_joint(joint, faults)
    named: list[Part | Joint | Task | Fluid] = [
        *machine.parts.values(),
        *(joint for part in machine.parts.values() for joint in part.joints.values()),
        *machine.tasks.values(),
        *machine.fluids.values(),
    ]
    told = _told(faults)
    for thing in named:
        odd = not _NAME.fullmatch(thing.name) or len(thing.name) > LONGEST_NAME  # as `repeat` made it
        if odd and _where(thing.place) not in told:
            problem = f"`{quote(thing.name)}` can't be taken over as a name"
            faults.error(thing.place, problem, "write out what is meant")
    for fluid in machine.fluids.values():
        _most(fluid.volume_litres, MOST_LITRES, "L", fluid.place, faults)
        if fluid.plug is not None:
            _check_joint(fluid.plug, faults)
    for task in machine.tasks.values():
        _most(task.seconds, LONGEST, "s", task.place, faults)


def _check_joint(joint: Joint, faults: Faults) -> None:
    _most(joint.count, MOST_OF_ONE, "of them", joint.place, faults)
    _most(joint.seconds, LONGEST, "s", joint.place, faults)
    for stage in joint.torque.stages if joint.torque else ():
        if isinstance(stage, TorqueQuantity):
            _most(stage.newton_metres, MOST_NM, "N.m", joint.place, faults)


def _most(
    value: float | Fraction | None, most: float | Fraction, unit: str, place: Place, faults: Faults
) -> None:
    if value is not None and value > most:
        problem = f"{float(value):,.0f} {unit} can't be meant"
        faults.error(place, problem, f"nothing that is worked on by hand has more than {float(most):,.0f}")
