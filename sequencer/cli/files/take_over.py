"""``sequencer import``: a machine file that somebody else has made."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from sequencer.cli.shared.declared import argument, option

Foreign = Annotated[Path, argument("FILE", "The machine file, as it came from somebody else.")]
TakenOver = Annotated[Path | None, option("-o --output", "FILE", "The file to write. Left out: print it.")]


def import_machine(file: Foreign, output: TakenOver = None) -> None:
    """Take in a machine file made by somebody else.

    Example: sequencer import neighbour.yaml -o mine.yaml
    """
    from sequencer.cli.shared.output import complain, kind_of, print_content, write_output
    from sequencer.cli.shared.toolbox import today
    from sequencer.document.sharing import imported_head
    from sequencer.machine.expand import as_text
    from sequencer.machine.incoming import incoming
    from sequencer.render.export.as_machine import comments

    if output is not None:
        kind_of(output, ("yaml", "yml"), bare="yaml")
    found = incoming(file)
    for fault in found.warnings:
        complain(str(fault))
    head = comments(imported_head(file.name, today(), found.head))
    text = as_text(found.data, head).encode()
    if output is None:
        print_content(text)
    else:
        write_output(output, text, f"{output}: {found.machine.name}, taken over from {file}")
