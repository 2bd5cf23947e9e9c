"""``sequencer check``: what is wrong with a machine file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.options import AsJson, MachineFile, Wanted, read_machine
from sequencer.cli.shared.output import complain
from sequencer.document.words import plural

if TYPE_CHECKING:
    from sequencer.machine.model import Machine

Critic = Annotated[
    bool,
    typer.Option(
        "--plan",
        help="Also read it as a mechanic would, with an order of work: what "
        "no rule forbids but nobody would do.",
    ),
]


def _show_oddities(found: Machine, wanted: Wanted, *, as_json: bool) -> None:
    """What the critic makes of the file, and of the order of work for a job, or for all of the machine."""
    from sequencer.cli.shared.output import console, print_json
    from sequencer.critic import findings
    from sequencer.critic.whole_order import job_of
    from sequencer.document.plans.critic import critic_document, oddities, order_words

    targets = wanted.targets(found) if wanted.first else ()
    removal, refit = job_of(found, targets)
    told = oddities(found, findings(found, removal, refit))
    if as_json:
        from sequencer.render.data.plans.critic import critic_json

        print_json(critic_json(found, told))
        return
    from sequencer.render.terminal import show

    show(critic_document(told, order_words(found, removal, refit, whole=not targets)), console())


@grouped
def check(
    machine: MachineFile,
    wanted: Wanted,
    critic: Critic = False,
    as_json: AsJson = False,
) -> None:
    """Check a machine file, or an assembly by itself.

    Example: sequencer check models/delivery-van.yaml --plan
    """
    if not critic and (wanted.first or as_json):
        from sequencer.errors import SequencerError

        other = wanted.first or "--json"
        raise SequencerError(f"{other} goes with --plan", "write --plan as well")
    from sequencer.graph.explain import shut_in

    found, faults = read_machine(machine, alone=True)
    for fault in faults:
        complain(str(fault))
    if found is None:
        errors = sum(fault.severity == "error" for fault in faults)
        complain(f"{machine}: {errors} {'fault' if errors == 1 else 'faults'}")
        raise typer.Exit(2)
    if shut := shut_in(found):
        complain(str(shut))
    if critic:
        _show_oddities(found, wanted, as_json=as_json)
        return
    joints = sum(len(part.joints) for part in found.parts.values())
    typer.echo(
        f"{machine}: good: {found.name}, {plural(len(found.parts), 'part')}, {plural(joints, 'joint')}, "
        f"{plural(len(found.positions), 'position')}, {plural(len(found.tools), 'tool')}"
    )
