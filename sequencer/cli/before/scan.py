"""``sequencer scan``: what the boxes of a machine show to be in the way, against what its file says."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.declared import option
from sequencer.cli.shared.options import AsJson, MachineFile, Off, TypicalJobs, Wanted, load_machine

if TYPE_CHECKING:
    from sequencer.graph.geometry import Scan
    from sequencer.machine.model import Machine
    from sequencer.plan.scan import SeenCost

Picture = Annotated[
    Path | None, option("--draw", "FILE", "Draw what was found, in plan and elevation (.svg).")
]
Write = Annotated[
    bool,
    typer.Option(
        "--write", help="Add to the file what is seen but not written there, each entry with a comment."
    ),
]
Whole = Annotated[bool, typer.Option("--all", help="Show every entry, and what follows from other lines.")]
Tolerance = Annotated[
    float,
    typer.Option(
        "--tolerance",
        metavar="MM",
        min=0.01,
        max=20,
        help="Meshes that overlap across the way by less than this slide past each other.",
    ),
]


def scan(
    machine: MachineFile,
    off: Off = [],  # noqa: B006 - typer copies it
    job: TypicalJobs = [],  # noqa: B006
    draw: Picture = None,
    write: Write = False,
    whole: Whole = False,
    tolerance: Tolerance = 0.1,
    as_json: AsJson = False,
) -> None:
    """Check what the file says is in the way against the parts' boxes.

    With --off or --job, only what that job may touch. Findings are not errors: the exit code stays 0.

    Example: sequencer scan models/delivery-van.yaml
    """
    from sequencer.cli.shared.output import console, kind_of, print_json, write_output
    from sequencer.graph.geometry import scan as look

    if draw is not None:
        kind_of(draw, ("svg",), bare="svg")
    read = load_machine(machine, alone=True)
    wanted = Wanted(off=off, job=job)
    found, cost = _for_a_job(read, wanted, tolerance) if wanted.first else (look(read, tolerance), None)
    if as_json:
        from sequencer.render.data.plans.scan import scan_json

        print_json(scan_json(found, cost))
    else:
        from sequencer.document.plans.scan import scan_document
        from sequencer.render.terminal import show

        show(scan_document(found, cost, whole=whole), console())
    if draw is not None:
        from sequencer.render.pictures.scan import scan_picture

        write_output(draw, scan_picture(found).encode())
    if write:
        _write(found)


def _for_a_job(machine: Machine, wanted: Wanted, tolerance: float) -> tuple[Scan, SeenCost | None]:
    """What concerns a job, and what it costs there."""
    from sequencer.cli.shared.solving import live_line
    from sequencer.plan.order.patience import limits
    from sequencer.plan.scan import settled

    with live_line() as watch:
        return settled(machine, wanted.targets(machine), tolerance, limits(None, 0.0), watch)


def _write(found: Scan) -> None:
    """Add the hidden relations to the file, less those that follow from others added before."""
    from sequencer.cli.shared.output import complain
    from sequencer.document.plans.scan import comment_words
    from sequencer.document.plans.scan_words import need_written
    from sequencer.document.words import plural
    from sequencer.graph.geometry.added import to_write
    from sequencer.machine.edit import Editor
    from sequencer.machine.model import Need

    wanted, refused = to_write(found)
    for seen in refused:
        complain(
            f"not written: {seen.holder}: {seen.key}: [{need_written(seen)}]; with it a "
            "part could never come off: look at the boxes and the ways out again"
        )
    path = Path(found.machine.file)
    if not wanted:
        complain(f"{path}: nothing to write")
        return
    editor = Editor(path)
    for seen in wanted:
        need = Need(seen.any_of, found.machine.parts[seen.part].place, seen.relation)
        editor.add_need(seen.holder, seen.key, need, comment=comment_words(found, seen))
    editor.save()
    for said in editor.words:
        complain(said)
    complain(f"{path}: {plural(len(wanted), 'relation')} written")
