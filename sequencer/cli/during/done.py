"""``sequencer done``: tick steps."""

from __future__ import annotations

import sys
from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.grouped import grouped
from sequencer.cli.shared.job_options import Acting, tell
from sequencer.errors import SequencerError
from sequencer.graph.operations import Op

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from sequencer.job.desk import Outcome


_Steps = Annotated[
    list[str] | None,
    argument("[STEPS]", "Step numbers: 5, 3-6, 3,5,7; or an operation by name. Left out: the whole station."),
]
_Torque = Annotated[
    str | None,
    option("--torque", "TORQUE", "The torque you read, with its unit; `by hand` where none is given."),
]
_Source = Annotated[
    str | None, option("--source", "TEXT", "Where the torque is from, if the file has none: 'manual p. 12'.")
]
_Angle = Annotated[str | None, option("--angle", "TEXT", "The angle that was turned.")]
_Wrench = Annotated[
    str | None,
    option(
        "--wrench", "NAME", "The torque wrench that was used. Left out: the one that your toolbox suggests."
    ),
]
_Fasteners = Annotated[
    str | None,
    option("--fasteners", "WHICH", "Which of a joint's fasteners were pulled to it: all; 1-4; 1,3."),
]
_Stages = Annotated[
    str | None, option("--stages", "WHICH", "The stages that were done: all; 2. Left out: the next.")
]
_Wear = Annotated[str | None, option("--wear", "TEXT", "The wear that was measured.")]
_Anyway = Annotated[
    str | None, option("--anyway", "WHY", "You did it although the machine file says you can't: say how.")
]
_Prepared = Annotated[
    bool, typer.Option("--prepared", help="The bench lists of the parts being fitted are done.")
]


@grouped
def done(
    steps: _Steps = None,
    torque: _Torque = None,
    source: _Source = None,
    angle: _Angle = None,
    wrench: _Wrench = None,
    fasteners: _Fasteners = None,
    stages: _Stages = None,
    wear: _Wear = None,
    anyway: _Anyway = None,
    prepared: _Prepared = False,
    *,
    acting: Acting,
) -> None:
    """Tick steps; without numbers the whole station that `next` shows. Then show what comes next.

    Example: sequencer done 3-6
    """
    with acting.desk() as opened:
        chosen = [piece for text in steps or () for piece in text.split(",") if piece.strip()]
        tick = partial(
            opened.done,
            chosen or None,
            torque=torque,
            angle=angle,
            wear=wear,
            wrench=wrench,
            fasteners=fasteners,
            stages=stages,
            source=source,
            anyway=anyway,
        )
        said = tick(prepared=prepared) if prepared or acting.as_json else _asking(tick, torque)
        tell(said, opened, as_json=acting.as_json, then_next=True)


def _asking(tick: Callable[..., Outcome], torque: str | None) -> Outcome:
    """Tick; where somebody sits at the terminal, ask for what is in the way: bench lists, open figures."""
    ticked: list[str] = []
    told: dict[str, str] = {}
    while True:
        try:
            return tick(prepared=ticked, **told)
        except SequencerError as refusal:
            if not sys.stdin.isatty():
                raise
            if refusal.code == "figure-open" and not told:
                told["torque"] = _torque(refusal.facts["gates"])
                told["fasteners"] = "all"
            elif refusal.code == "no-source" and "source" not in told:
                told["source"] = str(typer.prompt(f"Where is {told.get('torque', torque)} from"))
            elif refusal.code == "not-prepared":
                lacking = refusal.facts["items"]
                if not all(typer.confirm(f"Done: {text}", default=False) for text in lacking):
                    raise
                ticked += lacking
            else:
                raise


def _torque(gates: Iterable[str]) -> str:
    """What open figures were pulled to; by hand where nobody says."""
    joints = ", ".join(Op(gate).subject for gate in gates)
    return str(typer.prompt(f"Torque of {joints}, with its unit", default="by hand"))
