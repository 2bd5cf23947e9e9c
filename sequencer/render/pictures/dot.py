"""DOT text to a picture, with whatever draws: the system's ``dot``, or the program that pip brought along."""

from __future__ import annotations

import shutil
import subprocess
import sysconfig

from sequencer.errors import SequencerError

FORMATS = ("svg", "png", "pdf", "dot")
"""The pictures that can be made; ``dot`` is the text itself. PNG and PDF are set by ``views/paper``."""

SECONDS = 60
"""A drawing that takes longer than this won't be read either."""


def render(dot: str, form: str) -> bytes:
    """A picture of ``dot`` as ``svg``, or the text itself as ``dot``.

    Raises:
        SequencerError: No program to draw with, or it failed.
    """
    if form == "dot":
        return dot.encode()
    try:
        done = subprocess.run(  # noqa: S603 - a program we found ourselves, no shell
            [_program(), f"-T{form}"],
            input=dot.encode(),
            capture_output=True,
            timeout=SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise SequencerError(
            f"drawing took more than {SECONDS} s and was stopped", "draw one target, or one part with --why"
        ) from None
    if done.returncode or not done.stdout:
        lines = done.stderr.decode(errors="replace").strip().splitlines()
        raise SequencerError(
            f"the drawing program failed: {lines[-1] if lines else 'without a word'}",
            "write the diagram as text instead: -o plan.dot",
        )
    return done.stdout


def _program() -> str:
    """``dot`` from the PATH, or else the one from the graphviz-pure wheel beside this Python."""
    ours = "graphviz-pure"  # Windows adds its ending
    found = (
        shutil.which("dot") or shutil.which(ours, path=sysconfig.get_path("scripts")) or shutil.which(ours)
    )
    if found is None:
        raise SequencerError(
            "no program to draw with was found",
            "run 'pip install graphviz-pure', or write the diagram as text: -o plan.dot",
        )
    return found
