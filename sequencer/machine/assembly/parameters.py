"""The parameters of an assembly: what may be given for each, within which bounds, and what holds otherwise.

``bolts: {is: count, default: 5, range: 3 to 8, about: Wheel bolts}`` makes a mark ``<bolts>`` that stands for
the value anywhere in the assembly. A parameter without a default has to be given.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path as FilePath
from typing import Annotated, Any

from pydantic import PlainValidator, TypeAdapter, ValidationError

from sequencer.machine.faults import Faults, quote, suggestion
from sequencer.machine.reader.repeat_marks import Given, Outside
from sequencer.machine.reader.source import read_source
from sequencer.machine.reader.yaml_tree import BROKEN, Path, Tree, compose
from sequencer.machine.schema.fields import Count, Flag, Kilograms, Litres, Text, Time, kind_of, refuse
from sequencer.machine.trade.heads import no_tool, tool_for
from sequencer.quantities import parse_torque
from sequencer.quantities.text import QuantityError
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.fasteners.threads import is_pipe_thread, parse_thread

_WORD = re.compile(r"[^<>./=\s]+")
_RANGE = re.compile(r"\s*(.+?)\s+to\s+(.+?)\s*")
_KEYS = ("is", "default", "range", "one_of", "about")
NOTHING = "none"
"""What is given by name, and is nothing."""


def _head(text: str) -> str:
    if tool_for(text) is None:
        refuse(*no_tool(text))
    return text


def _thread(text: str) -> str:
    try:
        if not is_pipe_thread(text):
            parse_thread(text)
    except FastenerError as why:
        refuse(why.problem, why.remedy)
    return text


def _torque(text: str) -> Fraction:
    try:
        return parse_torque(text).newton_metres
    except QuantityError as why:
        refuse(why.problem, why.remedy)


def _of(kind: Any) -> Callable[[str], Any]:  # noqa: ANN401 - an annotation
    read: Callable[[str], Any] = TypeAdapter(kind).validate_python
    return read


@dataclass(frozen=True)
class _Kind:
    """A kind of parameter: what messages call it, how its text is read, an example."""

    called: str
    read: Callable[[str], Any]
    example: str
    measured: bool = False


_KINDS: Mapping[str, _Kind] = {
    "count": _Kind("a count", _of(Count), "5", measured=True),
    "time": _Kind("a time", _of(Time), "90 s", measured=True),
    "weight": _Kind("a weight", _of(Kilograms), "12 kg", measured=True),
    "volume": _Kind("a volume", lambda text: _of(Litres)(text)[0], "1.2 L", measured=True),
    "torque": _Kind("a torque", _of(Annotated[Fraction, PlainValidator(_torque)]), "110 N.m", measured=True),
    "head": _Kind("a head", _of(Annotated[str, PlainValidator(_head)]), "19"),
    "thread": _Kind("a thread", _of(Annotated[str, PlainValidator(_thread)]), "M14x1.5"),
    "text": _Kind("a text", _of(Text), "steel"),
    "flag": _Kind("true or false", _of(Flag), "true"),
}
_NAMES = {
    "position": "a position of the machine",
    "tool": "a tool of the machine, or a head",
    "fluid": "a fluid of the machine",
    "task": "a task of the machine",
    "part": "a part of the machine",
    "joint": "a joint of the machine, part/joint",
    "needs": "what must be clear, as under behind",
}
_SINGLE = ("position", "tool")
"""Names of which one is wanted; of the others several may be given as a list."""


@dataclass(frozen=True)
class Parameter:
    """A parameter of an assembly.

    Attributes:
        name: Its mark.
        kind: One of the kinds above.
        default: What holds where nothing is given.
        required: Something has to be given.
        least, most: The bounds of what can be measured, with the text that says them.
        one_of: The only values, where the assembly lists them.
        about: What it is.
    """

    name: str
    kind: str
    default: object
    required: bool
    least: Any = None
    most: Any = None
    bounds: str = ""
    one_of: tuple[str, ...] = ()
    about: str = ""

    @property
    def called(self) -> str:
        """What messages say that it is."""
        return _NAMES.get(self.kind) or _KINDS[self.kind].called

    def fault(self, raw: object) -> tuple[str, str] | None:
        """What is wrong with a value, and what to do; ``None``: nothing."""
        if self.kind in _NAMES:
            return self._not_a_name(raw)
        kind = _KINDS[self.kind]
        problem, remedy = "", f"write {self.name}: {kind.example}"
        if not isinstance(raw, str):
            problem = f"`{self.name}` is {kind.called}, and this is {kind_of(raw)}"
        elif self.one_of and raw not in self.one_of:
            problem, remedy = f"`{self.name}` is one of {', '.join(self.one_of)}", "write one of them"
        else:
            try:
                value = kind.read(raw)
            except ValidationError as why:
                problem = f"`{self.name}` is {kind.called}: {why.errors()[0]['ctx']['problem']}"
            else:
                if self.bounds and not self.least <= value <= self.most:
                    problem = f"`{self.name}` is {self.bounds}, and this is {quote(raw)}"
                    remedy = "where this machine really has another, write it beside the include, on the part"
        return (problem, remedy) if problem else None

    def _not_a_name(self, raw: object) -> tuple[str, str] | None:
        example = f"write {self.name}: {_NAME_EXAMPLES[self.kind]}"
        entries = raw if isinstance(raw, list) and self.kind not in _SINGLE else [raw]
        for one in entries:
            told = isinstance(one, dict) and self.kind == "needs"
            if not told and not (isinstance(one, str) and one.strip()):
                return f"`{self.name}` is {self.called}, and this is {kind_of(one)}", example
        return None


_NAME_EXAMPLES = {
    "position": "under",
    "tool": "long-bar",
    "fluid": "coolant",
    "task": "raise",
    "part": "gearbox",
    "joint": "gearbox/bolts",
    "needs": "[guard, {motor: loose}]",
}


def parameters_of(tree: Tree, faults: Faults) -> dict[str, Parameter]:
    """The parameters of an assembly; what is wrong with one is noted, and it is left out."""
    raw = tree.data.get("parameters")
    if raw is None:
        return {}
    if not isinstance(raw, dict):
        problem = f"`parameters` wants names with a colon, and this is {kind_of(raw)}"
        faults.error(
            tree.place(("parameters",)), problem, "write bolts: {is: count, default: 5}", "structure"
        )
        return {}
    found = (_parameter(tree, name, about, faults) for name, about in raw.items())
    return {one.name: one for one in found if one is not None}


def _parameter(tree: Tree, name: str, raw: object, faults: Faults) -> Parameter | None:
    path: Path = ("parameters", name)
    about = {"is": raw} if isinstance(raw, str) else raw
    if not _WORD.fullmatch(name):
        problem = f"a parameter can't be called `{quote(name)}`"
        faults.error(tree.place(path, key=True), problem, "write one word, without < > . / and =")
    elif not isinstance(about, dict):
        problem = f"`{quote(name)}` has to say what it is, and this is {kind_of(raw)}"
        faults.error(tree.place(path), problem, f"write {quote(name)}: {{is: count, default: 5}}")
    elif unknown := [key for key in about if key not in _KEYS]:
        problem = f"`{quote(unknown[0])}` is not a key of a parameter"
        advice = suggestion(unknown[0], _KEYS, "")
        faults.error(tree.place((*path, unknown[0]), key=True), problem, advice, "structure")
    elif about.get("is") not in (*_KINDS, *_NAMES):
        problem = f"`{quote(name)}` does not say what it is"
        faults.error(
            tree.place((*path, "is")), problem, f"write is: with one of {', '.join((*_KINDS, *_NAMES))}"
        )
    else:
        return _read(tree, name, about, faults)
    return None


def _read(tree: Tree, name: str, about: dict[str, Any], faults: Faults) -> Parameter | None:
    kind, default = about["is"], about.get("default")
    if kind in _NAMES and default == NOTHING:
        default = None
    bounds, least, most = about.get("range"), None, None
    if bounds is not None:
        ends = _ends(kind, bounds)
        if ends is None:
            where = tree.place(("parameters", name, "range"))
            faults.error(where, f"this is not a range for {kind}", "write range: 3 to 8, the smaller first")
            return None
        least, most = ends
    one_of = about.get("one_of") or []
    only = tuple(one for one in (one_of if isinstance(one_of, list) else [one_of]) if isinstance(one, str))
    text = about.get("about")
    found = Parameter(
        name, kind, default, "default" not in about, least, most, bounds or "", only,
        text if isinstance(text, str) else "",
    )  # fmt: skip
    if default is not None and (wrong := found.fault(default)):
        faults.error(tree.place(("parameters", name, "default")), *wrong)
        return None
    return found


def _ends(kind: str, raw: object) -> tuple[Any, Any] | None:
    """The least and the most of a range, ``3 to 8`` or ``80 to 140 N.m``."""
    match = _RANGE.fullmatch(raw) if isinstance(raw, str) else None
    if match is None or kind not in _KINDS or not _KINDS[kind].measured:
        return None
    low, high = match.groups()
    unit = "" if re.search(r"[^0-9.]", low) else re.sub(r"^[0-9.]+", "", high)
    try:
        ends = _KINDS[kind].read(low + unit), _KINDS[kind].read(high)
    except ValidationError:
        return None
    return ends if ends[0] <= ends[1] else None


def values(
    parameters: Mapping[str, Parameter], tree: Tree, given: object, other: Tree, path: Path, faults: Faults
) -> dict[str, Given] | None:
    """What each parameter stands for; ``None`` after noting what is wrong with what was given.

    Args:
        parameters: Those of the assembly.
        tree: The assembly, which has the defaults.
        given: What the include has under ``with``.
        other: Knows where that is written.
        path: And under which path.
        faults: Are told.
    """
    said = given if isinstance(given, dict) else {}
    usable = True
    for name in said:
        if name not in parameters:
            advice = suggestion(name, parameters, "take it out")
            faults.error(
                other.place((*path, name), key=True), f"there is no parameter `{quote(name)}`", advice
            )
            usable = False
    found = {}
    for name, one in parameters.items():
        value = said.get(name)
        if value is BROKEN:
            usable = False
        elif value is not None:
            if wrong := _unfit(one, value):
                faults.error(other.place((*path, name)), *wrong)
                usable = False
            found[name] = Given(_outside(value) if one.kind in _NAMES else value, other, (*path, name))
        elif one.required:
            meant = f": {one.about}" if one.about else ""
            faults.error(
                other.place(path, key=True),
                f"nothing is given for `{name}`, {one.called}{meant}",
                f"write with: {{{name}: {example(one)}}}",
            )
            usable = False
        else:
            found[name] = Given(one.default, tree, ("parameters", name, "default"))
    return found if usable else None


def _unfit(one: Parameter, value: object) -> tuple[str, str] | None:
    return None if one.kind in _NAMES and value == NOTHING else one.fault(value)


def example(one: Parameter) -> str:
    """A value that could be given for a parameter."""
    if one.one_of:
        return one.one_of[-1]
    if bounds := _RANGE.fullmatch(one.bounds):
        return bounds[2]
    return _NAME_EXAMPLES.get(one.kind) or _KINDS[one.kind].example


def _outside(value: Any) -> Any:  # noqa: ANN401 - as a file has it
    """A name, or a list of what names things, marked as the machine's own; ``none`` is nothing."""
    if value == NOTHING:
        return None
    if isinstance(value, str):
        return Outside(value, value.levels + 1 if isinstance(value, Outside) else 1)
    if isinstance(value, list):
        return [_outside(one) for one in value]
    if isinstance(value, dict):
        return {
            key if key == "any" else _outside(key): _outside(one) if key == "any" else one
            for key, one in value.items()
        }
    return value


def parameters_in(path: FilePath) -> tuple[Parameter, ...]:
    """The parameters of the assembly at ``path``, a file without faults."""
    faults = Faults()
    text = read_source(path, faults)
    return () if text is None else tuple(parameters_of(compose(text, str(path), faults), faults).values())
