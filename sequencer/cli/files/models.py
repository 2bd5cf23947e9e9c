"""``sequencer models``: the machines and assemblies that ship with the program."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from sequencer.cli.shared.declared import argument, option
from sequencer.cli.shared.options import AsJson

if TYPE_CHECKING:
    from sequencer.machine.catalogue import ShippedModel

Asked = Annotated[
    list[str] | None,
    argument(
        "[NAME or WORDS]",
        "One of them by its name, or words to look for: bearing, 'water pump'. Left out: all.",
    ),
]
Picture = Annotated[Path | None, option("-o --output", "FILE", "Draw a small picture of it (.svg).")]


def models(words: Asked = None, output: Picture = None, as_json: AsJson = False) -> None:
    """List the bundled machines and assemblies.

    Example: sequencer models "water pump"
    """
    from sequencer.cli.shared.output import console, kind_of, print_json
    from sequencer.document.catalogue import catalogue_document, search_document
    from sequencer.machine import catalogue
    from sequencer.render.data.machines.catalogue import models_json
    from sequencer.render.terminal import show

    if output is not None:
        kind_of(output, ("svg",), bare="svg")
    known = catalogue.models()
    text = " ".join(words or [])
    named = text.strip().casefold() in [one.name for one in known]
    if named or output is not None:
        _one(catalogue.model_called(known, text), output, as_json=as_json)
        return
    hits = catalogue.search(known, text) if text.strip() else ()
    if as_json:
        print_json(models_json(hits if text.strip() else known))
    else:
        show(search_document(text, hits) if text.strip() else catalogue_document(known), console())


def _one(model: ShippedModel, output: Path | None, *, as_json: bool) -> None:
    from sequencer.cli.shared.output import console, print_json, write_output
    from sequencer.document.catalogue import model_document
    from sequencer.machine.assembly.parameters import parameters_in
    from sequencer.machine.catalogue import MACHINE
    from sequencer.machine.reading import load
    from sequencer.render.data.machines.catalogue import models_json
    from sequencer.render.pictures.layers import layers_picture
    from sequencer.render.terminal import show

    if output is not None:
        write_output(output, layers_picture(model).encode())
        return
    if as_json:
        print_json(models_json([model]))
        return
    machine = load(model.path) if model.kind == MACHINE else None
    show(model_document(model, machine, () if machine else parameters_in(model.path)), console())
