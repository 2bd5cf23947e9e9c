"""``sequencer torque``: a figure for joints of a job; one joint at the bench, or one of a machine file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.replanning.figure import tell_figure
from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.job_options import Device, JobOption, Person
from sequencer.cli.shared.options import AsJson
from sequencer.cli.shared.toolbox import ToolboxFile, read_toolbox_file, today

if TYPE_CHECKING:
    from sequencer.torque.guard.use import Use
    from sequencer.torque.wrenches.calculator import BenchAnswer

Words = Annotated[
    list[str] | None,
    argument(
        "[JOINT...] [TORQUE] [SOURCE]",
        "A torque with its unit: 106in-lb, '25 N.m'. On a job: first the joints it is for, last "
        "where it is from.",
    ),
]
AmountOption = Annotated[str | None, option("--torque", "TORQUE", "The same as the argument.")]
To = Annotated[str | None, option("--to", "UNIT", "The unit to show it in: N.m, lbf.ft, in-lb.")]
ThreadName = Annotated[str | None, option("--thread", "THREAD", "M8, M10x1.25, '3/8-16 UNC'.")]
PropertyClass = Annotated[str | None, option("--class", "CLASS", "Property class 8.8, or grade 5.")]
JointKind = Annotated[
    str | None,
    option("--kind", "KIND", "bolt, nut, plug, banjo, union: what seals is not judged by preload."),
]
Condition = Annotated[
    str | None, option("--friction", "WORD", "dry, oiled, moly, plated; or the nut factor K.")
]
EngagedIn = Annotated[str | None, option("--in", "MATERIAL", "What the thread is cut in: aluminium.")]
Engagement = Annotated[str | None, option("--engagement", "LENGTH", "Thread engaged: '12 mm'.")]
AdapterLength = Annotated[str | None, option("--adapter", "LENGTH", "Square drive to fastener: '50 mm'.")]
AdapterAngle = Annotated[
    float,
    typer.Option("--angle", metavar="DEGREES", help="Adapter: 0 along the wrench, 90 across, 180 back."),
]
WrenchLength = Annotated[
    str | None, option("--wrench-length", "LENGTH", "Middle of the grip to the square drive: '400 mm'.")
]
When = Annotated[
    list[str] | None,
    option(
        "--when", "WHAT", "On a job: what has to be back before it, 'engine support', 'wheel'. Repeatable."
    ),
]
JointOfFile = Annotated[
    tuple[str, str] | None,
    option("--joint", "MACHINE PART/JOINT", "Take the joint from a machine file instead."),
]
Picture = Annotated[
    Path | None,
    option("-o --output", "FILE", "With --joint: a numbered picture of the order of its fasteners, .svg."),
]
Loosening = Annotated[
    bool, typer.Option("--loosening", help="With -o: the loosening order, outside in, instead.")
]


def torque_command(
    *,
    words: Words = None,
    torque: AmountOption = None,
    when: When = None,
    to: To = None,
    thread: ThreadName = None,
    property_class: PropertyClass = None,
    kind: JointKind = None,
    friction: Condition = None,
    engaged_in: EngagedIn = None,
    engagement: Engagement = None,
    adapter: AdapterLength = None,
    angle: AdapterAngle = 0.0,
    wrench_length: WrenchLength = None,
    toolbox: ToolboxFile = None,
    joint: JointOfFile = None,
    output: Picture = None,
    loosening: Loosening = False,
    job: JobOption = None,
    person: Person = None,
    device: Device = None,
    as_json: AsJson = False,
) -> None:
    """Set a job's torques; or convert or check a torque.

    With an adapter it works out what to set the wrench to.

    On a job, JOINT is a joint or "all of the cover", "all M6 8.8", "all M6 8.8 in aluminium"; TORQUE may be
    several stages, or "by hand" where no figure is wanted. With --joint, look at one joint of a machine file.
    Exit code 2 if the torque is beyond the bolt's proof load at any friction.

    Example: sequencer torque "cover bolts" 10 N.m "manual p. 12"

    Example: sequencer torque "mount nuts" 80N.m "manual" --when "engine support"

    Example: sequencer torque 106in-lb --to N.m

    Example: sequencer torque --thread M8 --class 8.8 --torque 25N.m
    """
    from sequencer.cli.before.joint import show_joint
    from sequencer.errors import SequencerError
    from sequencer.quantities import parse_millimetres
    from sequencer.torque.wrenches.calculator import Owned, bench

    if tell_figure(words or (), torque, (job, person, device), when or (), as_json=as_json):
        return
    if when:
        raise SequencerError("--when is for a torque of a job's joints", "name the joints before the torque")
    amount = " ".join(words) if words else None
    box = read_toolbox_file(toolbox)
    if joint is not None:
        bolt = (thread, property_class, kind, friction, engaged_in, engagement)
        if any(word is not None for word in (amount, torque, *bolt, adapter, wrench_length)):
            raise SequencerError(
                "--joint takes everything from the file", "leave out torque, bolt and adapter"
            )
        show_joint(*joint, to, box, output, loosening=loosening, as_json=as_json)
        return
    if output is not None or loosening:
        raise SequencerError("a picture is drawn of a joint in a file", "add --joint MACHINE PART/JOINT")
    if amount is not None and torque is not None:
        raise SequencerError("the torque is given twice", "leave out --torque or the argument")
    answer = bench(
        torque if amount is None else amount,
        to=to,
        thread=thread,
        property_class=property_class,
        friction=friction,
        engaged_in=engaged_in,
        engagement=engagement,
        use=_use(kind),
        adapter_mm=None if adapter is None else parse_millimetres(adapter),
        adapter_degrees=angle,
        wrench_mm=None if wrench_length is None else parse_millimetres(wrench_length),
        owned=None if box is None else Owned(box.wrenches, today()),
    )
    _show(answer, as_json=as_json)


def _show(answer: BenchAnswer, *, as_json: bool) -> None:
    """Print what a torque comes to; exit code 2 where no bolt stands it."""
    from sequencer.cli.shared.output import print_json
    from sequencer.document.clean import clean
    from sequencer.errors import SequencerError
    from sequencer.render.data.torques.judged import bench_json

    if answer.judgement is not None and answer.judgement.faults:
        # A word that was typed and not understood: a verdict without it would answer another question.
        raise SequencerError("\n".join(f"{problem}; {remedy}" for problem, remedy in answer.judgement.faults))
    if as_json:
        print_json(bench_json(answer))
    else:
        for line in answer.lines():
            typer.echo(clean(line))
    if answer.is_error:
        raise typer.Exit(2)


def _use(kind: str | None) -> Use:
    """What the torque is for on a joint of this kind."""
    from sequencer.errors import SequencerError
    from sequencer.machine.faults import suggestion
    from sequencer.machine.trade.kinds import kind_of_joint, kind_words
    from sequencer.torque.guard.use import FASTENER

    if kind is None:
        return FASTENER
    known = kind_of_joint(kind)
    if known is None:
        raise SequencerError(
            f"--kind {kind}: there is no such kind of joint", suggestion(kind, kind_words(), "leave it out")
        )
    return known.use
