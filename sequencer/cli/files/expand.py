"""``sequencer expand``: a machine file with all that it includes and repeats, as one plain file."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import Annotated

from sequencer.cli.shared.declared import option
from sequencer.cli.shared.options import MachineFile

ExpandedFile = Annotated[Path | None, option("-o --output", "FILE", "The file to write. Left out: print it.")]


def expand(machine: MachineFile, output: ExpandedFile = None) -> None:
    """Write out what a file includes and repeats, as one plain file.

    Example: sequencer expand examples/small-car.yaml
    """
    from sequencer.cli.shared.output import print_content, write_output
    from sequencer.errors import SequencerError
    from sequencer.machine.expand import expanded
    from sequencer.machine.library import find

    found = expanded(find(machine))
    if output is None:
        print_content(found.text.encode())
        return
    with contextlib.suppress(OSError):
        if any(output.samefile(one) for one in found.files):
            raise SequencerError(f"{output} is what {machine} includes", "name another file to write to")
    write_output(output, found.text.encode(), f"{output}: {machine} written out")
