"""What the arguments of the door have to be: each is checked before anything is done with it."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

from sequencer.errors import SequencerError
from sequencer.graph.targets import Target, parse_off, parse_reach
from sequencer.machine.checks.typical_checks import job_called
from sequencer.machine.facts.typical import TypicalJob
from sequencer.machine.model import Machine
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.practice.rules import Practice

File = str | os.PathLike[str]
"""A file's path; of a machine file also the name of a bundled machine: ``delivery-van``."""
Parts = str | Target | Iterable[str | Target]
"""One part or several, as commands take them (``head``, ``motor=loose``, ``pump/bolts``), or targets."""
Watch = Callable[[Fraction, Fraction], None]
"""Called with (best seconds so far, proven bound in seconds) whenever either gets better."""


class ArgumentError(SequencerError, ValueError):
    """An argument of the right type that says nothing sensible."""


def kind(value: object) -> str:
    """What a wrong argument is, for the message."""
    return f"{type(value).__name__} {value!r}"[:80]


def machine(value: object) -> Machine:
    """A machine that was read."""
    if not isinstance(value, Machine):
        raise TypeError(f"machine is a Machine from read_machine, not {kind(value)}")
    return value


def path(name: str, value: object) -> Path:
    """A path that can be one."""
    if not isinstance(value, str | os.PathLike):
        raise TypeError(f"{name} is a path, not {kind(value)}")
    if not os.fspath(value) or "\0" in os.fspath(value):
        raise ArgumentError(f"{name} names no file: {value!r}", "give a path")
    return Path(value)


def several(name: str, value: object) -> list[Any]:
    """The one thing that was given, or the several."""
    if isinstance(value, str | Target):
        return [value]
    if isinstance(value, bytes | Mapping) or not isinstance(value, Iterable):
        raise TypeError(f"{name} is one or a list of them, not {kind(value)}")
    return list(value)


def text(name: str, value: object) -> str:
    """A text."""
    if not isinstance(value, str):
        raise TypeError(f"{name} is a text, not {kind(value)}")
    return value


def any_of(**given: object) -> bool:
    """Whether any of these, by the names of their arguments, names anything."""
    return any(several(name, value) for name, value in given.items())


def targets(machine: Machine, off: Parts, reach: Parts, job: Parts = ()) -> tuple[Target, ...]:
    """What is to come off, then what the jobs take off, then what is to be reached, each once."""
    found = [_target(machine, "off", one) for one in several("off", off)]
    found += [
        _target(machine, "off", text) for one in several("job", job) for text in typical(machine, one).off
    ]
    found += [_target(machine, "reach", one) for one in several("reach", reach)]
    if not found:
        raise ArgumentError("no part is named", "give off='PART', reach='PART' or job='NAME'")
    return tuple(dict.fromkeys(found))


def typical(machine: Machine, value: object) -> TypicalJob:
    """A job of the machine file by name."""
    if not isinstance(value, str):
        raise TypeError(f"job names jobs, not {kind(value)}")
    try:
        return job_called(machine, value)
    except SequencerError as fault:
        raise ArgumentError(f"job {value}: {fault.problem}", fault.remedy) from None


def _target(machine: Machine, name: str, value: object) -> Target:
    if isinstance(value, Target):
        name = "reach" if value.state is None else "off"
        value = value.text
    if not isinstance(value, str):
        raise TypeError(f"{name} names parts, not {kind(value)}")
    try:
        return (parse_off if name == "off" else parse_reach)(machine, value)
    except SequencerError as fault:
        raise ArgumentError(f"{name} {value}: {fault.problem}", fault.remedy) from None


def part(machine: Machine, value: object) -> str:
    """A part of the machine by name."""
    return _target(machine, "without", value).part


def prefer(value: object) -> Prefer:
    """What a plan is to have least of."""
    try:
        return Prefer(value)
    except ValueError:
        known = ", ".join(one.value for one in Prefer)
        raise ArgumentError(f"prefer is not {value!r}", f"it is one of {known}") from None


def practice(value: object) -> Practice:
    """Whether a plan keeps the rules of good practice."""
    try:
        return Practice(value)
    except ValueError:
        known = " or ".join(one.value for one in Practice)
        raise ArgumentError(f"practice is not {value!r}", f"it is {known}") from None


def seconds(value: object) -> float | None:
    """A time limit; None is none."""
    return None if value is None else _number("time_limit", value, math.inf)


def share(value: object) -> float:
    """A share of the whole, from 0 to 1."""
    return _number("gap", value, 1)


def _number(name: str, value: object, most: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float | Fraction):
        raise TypeError(f"{name} is a number, not {kind(value)}")
    if not 0 <= value <= most or value == math.inf:
        allowed = "0 or more" if most == math.inf else f"from 0 to {most:g}"
        raise ArgumentError(f"{name} is {value}", f"it is {allowed}")
    return float(value)


def names(name: str, value: object) -> tuple[str, ...]:
    """Names of people."""
    found = several(name, value)
    for one in found:
        if not isinstance(one, str):
            raise TypeError(f"{name} holds names, not {kind(one)}")
    return tuple(found)


def whole(name: str, value: object) -> int:
    """Whole minutes, at least one."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise TypeError(f"{name} holds whole numbers of minutes, not {kind(value)}")
    if value < 1:
        raise ArgumentError(f"{name} holds {value}", "a sitting has at least 1 minute")
    return value


def watch(value: object) -> Watch | None:
    """What is told of a search, or None."""
    if value is not None and not callable(value):
        raise TypeError(f"watch is called with two times, and {kind(value)} can't be")
    return value
