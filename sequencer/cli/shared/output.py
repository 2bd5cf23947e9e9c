"""Where commands print to."""

from __future__ import annotations

import contextlib
import json
import os
import re
import sys
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rich.console import Console

WIDEST = 100
"""Columns beyond which lines of a plan get hard to read."""


def open_streams() -> None:
    """See to it that there is something to print to, and that it takes every sign."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # closed by the shell (`>&-`), or a window without a terminal
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: PTH123, SIM115 - to the end
        # A terminal that can't show a sign gets it spelt out; no plan fails for that.
        getattr(sys, name).reconfigure(errors="backslashreplace")


def say_no_more() -> None:
    """Let nothing more be tried on a standard output that takes nothing: not at the end either."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def console() -> Console:
    """A console for plans: as wide as the terminal, or as ``COLUMNS`` says, but no wider than reads well."""
    from rich.console import Console

    class Plain(Console):
        """Leaves a reader who has gone (``| head``) to the command line, which ends quietly then."""

        def on_broken_pipe(self) -> None:
            raise BrokenPipeError

    made = Plain(highlight=False, markup=False, emoji=False)
    told = os.environ.get("COLUMNS", "").isdecimal()
    made.width = min(made.width, WIDEST) if told or sys.stdout.isatty() else WIDEST
    return made


def print_json(data: dict[str, Any]) -> None:
    """One object on standard output, whatever the terminal; in ASCII where that can't show all of it."""
    plain = (sys.stdout.encoding or "").lower().replace("-", "") != "utf8"
    sys.stdout.write(json.dumps(data, ensure_ascii=plain, indent=2) + "\n")


def complain(text: str) -> None:
    """A message on the error stream, its control characters spelt out."""
    with contextlib.suppress(OSError):  # there is nobody else to tell
        sys.stderr.write(_CONTROL.sub(lambda found: repr(found[0])[1:-1], text) + "\n")


_CONTROL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""What a terminal would obey; a line end is left, since a message may have several lines."""


def print_content(content: bytes) -> None:
    """The content of a file on standard output: letter by letter on a terminal, else byte by byte."""
    if sys.stdout.isatty():
        sys.stdout.write(content.decode())
    else:
        sys.stdout.flush()
        sys.stdout.buffer.write(content)


def kind_of(path: Path, kinds: Sequence[str], form: str | None = None, bare: str | None = None) -> str:
    """The kind of file to write: what an option says, or else the ending of the name.

    Args:
        path: The file.
        kinds: What can be written: ``svg``, ``pdf`` …
        form: What the option says.
        bare: The kind of a file whose name has no ending, as that of a pipe.

    Raises:
        SequencerError: The name has another ending.
    """
    from sequencer.errors import SequencerError

    kind = form or path.suffix.lstrip(".").lower() or bare
    if kind is not None and kind in kinds:
        return kind
    raise SequencerError(
        f"{path}: can't tell the kind of file from its name", f"end the name in {endings(kinds)}"
    )


def endings(kinds: Sequence[str]) -> str:
    """Kinds of file by the endings of their names: ``.json, .csv or .md``."""
    *first, last = [f".{known}" for known in kinds]
    return f"{', '.join(first)}{' or ' if first else ''}{last}"


def write_output(path: Path, content: bytes, *told: str) -> None:
    """Write what a command makes, and say so: every file that a person asks for with an option.

    Args:
        path: Where to. A link is followed; what is no plain file is written to.
        content: The whole of it.
        told: Lines about it. They go to standard error where the content itself goes to standard output.

    Raises:
        SequencerError: The file is one that the command reads or that a job lives by; or it can't be written.
    """
    from sequencer.machine.edit.atomic import replace_file

    _refuse_taken(path)
    if _is_standard_output(path):
        print_content(content)
        for line in told:
            complain(line)
        return
    replace_file(path, content)
    for line in told:
        sys.stdout.write(f"{line}\n")


WRITTEN = frozenset({"output", "draw", "pace_file"})
"""The parameters of commands that name a file to write; all others that name a file name an input."""


_inputs: ContextVar[tuple[Path, ...]] = ContextVar("_inputs", default=())
"""What the command that runs was given to read."""


def hold_outputs_against(parameters: Mapping[str, object]) -> None:
    """Note which files a command was given to read, and refuse at once to write one of them.

    Raises:
        SequencerError: A parameter that names what is written names a file that is taken.
    """
    from sequencer.machine.library import find

    named = [value for name, value in parameters.items() if name not in WRITTEN]
    flat = [one for value in named for one in (value if isinstance(value, list | tuple) else [value])]
    _inputs.set(tuple(find(Path(one)) for one in flat if isinstance(one, str | Path) and str(one)))
    for name in WRITTEN:
        if isinstance(output := parameters.get(name), Path):
            _refuse_taken(output)


def _refuse_taken(path: Path) -> None:
    from sequencer.errors import SequencerError

    if any(_is_same(path, given) for given in _inputs.get()):
        raise SequencerError(f"{path} is what this command reads", "name another file to write to")
    real = Path(os.path.realpath(path))
    if (real.parent / "job.yaml").is_file():  # known by its name, so that no command loads what reads jobs
        from sequencer.job.journal.folder import own_files

        if any(_is_same(real, own) for own in own_files(real.parent)):
            raise SequencerError(f"{path} is one of a job's own files", "name another file to write to")


def _is_standard_output(path: Path) -> bool:
    with contextlib.suppress(OSError, ValueError):
        return os.path.samestat(path.stat(), os.fstat(sys.stdout.fileno()))
    return False


def _is_same(one: Path, other: Path) -> bool:
    with contextlib.suppress(OSError, ValueError):
        return one.samefile(other)
    return False
