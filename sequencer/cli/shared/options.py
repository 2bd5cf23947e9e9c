"""Options that several commands share, so that they read alike everywhere."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, TypeVar

import typer

from sequencer.cli.shared.declared import argument, given, option
from sequencer.cli.shared.output import complain

if TYPE_CHECKING:
    from collections.abc import Callable

    from sequencer.engine.problem import Limits
    from sequencer.graph.targets import Target
    from sequencer.machine.facts.typical import TypicalJob
    from sequencer.machine.faults import Fault
    from sequencer.machine.model import Machine
    from sequencer.plan.answer import Watch
    from sequencer.plan.order.prefer import Prefer
    from sequencer.plan.practice.rules import Practice

T = TypeVar("T")

MachineFile = Annotated[
    Path, argument("MACHINE", "The machine file (YAML), or the name of a bundled machine.")
]
Off = Annotated[
    list[str],
    option(
        "--off", "PART[=STATE]", "Take this part off, or only get it loose or aside. Repeat for more parts."
    ),
]
Reach = Annotated[
    list[str], option("--reach", "PART", "Only clear the way to this part. Repeat for more parts.")
]
TypicalJobs = Annotated[
    list[str],
    option("--job", "NAME", "Take off what this job of the machine file takes off. Repeat for more jobs."),
]


@dataclass(frozen=True)
class Wanted:
    """The options that say what is to be done to a machine; all that are given count."""

    off: Off = field(default_factory=list)
    reach: Reach = field(default_factory=list)
    job: TypicalJobs = field(default_factory=list)

    @property
    def first(self) -> str:
        """The first option that is given; empty where none is."""
        return "--off" if self.off else "--reach" if self.reach else "--job" if self.job else ""

    def targets(self, machine: Machine) -> tuple[Target, ...]:
        """What they come to for a machine.

        Raises:
            SequencerError: Nothing is asked for, or the machine has no such part or job.
        """
        from sequencer.graph.targets import parse_off, some

        off = [_given("--off", parse_off, machine, text) for text in self.off]
        jobs = [parse_off(machine, text) for job in self.jobs(machine) for text in job.off]
        return some([*off, *jobs, *(target_given(machine, text, "--reach") for text in self.reach)])

    def jobs(self, machine: Machine) -> tuple[TypicalJob, ...]:
        """The jobs of the machine file that are named, each once.

        Raises:
            SequencerError: The machine has no such job.
        """
        from sequencer.machine.checks.typical_checks import job_called

        return tuple(dict.fromkeys(_given("--job", job_called, machine, name) for name in self.job))


def target_given(machine: Machine, text: str, option: str) -> Target:
    """The part or joint that an option names; a fault in it names the option."""
    from sequencer.graph.targets import parse_reach

    return _given(option, parse_reach, machine, text)


def _given(option: str, read: Callable[[Machine, str], T], machine: Machine, text: str) -> T:
    with given(option, text):
        return read(machine, text)


PreferWord = Literal["time", "tool-changes", "reach-arounds"]
"""The words of ``plan.prefer.Prefer``, spelt out here so that help comes without loading what plans."""

PreferOption = Annotated[PreferWord, typer.Option("--prefer", help="What to keep lowest; time comes second.")]
PracticeWord = Literal["none", "all"]
"""The words of ``plan.practice.rules.Practice``, spelt out for the same reason."""

PracticeOption = Annotated[
    PracticeWord,
    typer.Option("--practice", help="Keep the rules of good practice in the order of work: none or all."),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON instead of text.")]
TimeLimit = Annotated[
    float | None,
    option(
        "--time-limit",
        "SECONDS",
        "Stop searching after this many seconds. Plans may then vary from run to run.",
        min=0.0,
    ),
]
GapLimit = Annotated[
    float,
    typer.Option(
        "--gap",
        metavar="SHARE",
        min=0.0,
        max=1.0,
        help="Stop when at most this share of the time could still be saved; 0: prove it.",
    ),
]


@dataclass(frozen=True)
class Search:
    """The options that say which order is looked for, and for how long."""

    prefer: PreferOption = "time"
    practice: PracticeOption = "all"
    time_limit: TimeLimit = None
    gap: GapLimit = 0.0

    def asked(self, watch: Watch | None) -> tuple[Prefer, Limits, Watch | None, Practice]:
        """What is asked of a plan, as its makers take it."""
        from sequencer.plan.order.patience import limits
        from sequencer.plan.order.prefer import Prefer
        from sequencer.plan.practice.rules import Practice

        return Prefer(self.prefer), limits(self.time_limit, self.gap), watch, Practice(self.practice)


def load_machine(path: Path, *, alone: bool = False) -> Machine:
    """Read the file, say its warnings on the error stream, and stop at its faults.

    ``alone``: an assembly will do, by itself.

    Raises:
        MachineFileError: The file has faults; its text lists them all.
    """
    from sequencer.machine import MachineFileError

    machine, faults = read_machine(path, alone=alone)
    if machine is None:
        raise MachineFileError(faults)
    for fault in faults:
        complain(str(fault))
    return machine


def read_machine(path: Path, *, alone: bool = False) -> tuple[Machine | None, tuple[Fault, ...]]:
    """The machine and all that is wrong with its file; ``alone``: an assembly will do, by itself."""
    from sequencer.machine import read
    from sequencer.machine.library import find

    reading = None
    if alone:
        from sequencer.machine.assembly.alone import alone as by_itself

        reading = by_itself(path)
    reading = reading or read(find(path))
    return reading.machine, reading.faults


def read_job(path: Path, wanted: Wanted) -> tuple[Machine, tuple[Target, ...]]:
    """The machine and the targets of a command."""
    machine = load_machine(path)
    return machine, wanted.targets(machine)
