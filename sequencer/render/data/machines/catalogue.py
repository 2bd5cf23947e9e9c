"""What ships with the program, as plain data."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Annotated, Any, Literal

from sequencer.document.catalogue import hit_lines
from sequencer.machine.catalogue import SearchHit, ShippedModel
from sequencer.render.data.plain import Record


class TypicalJobData(Record):
    """A job that is often done on a machine."""

    name: str
    label: str
    off: Sequence[str]
    for_: Annotated[Sequence[str], "What you have seen or heard."]
    renew: Annotated[Sequence[str], "What is renewed with it by experience."]


class PartData(Record):
    """A part."""

    name: str
    label: str


class ModelData(Record):
    """A machine or an assembly that ships with the program."""

    name: str
    kind: Literal["machine", "assembly"]
    label: str
    about: str
    version: Annotated[str, "Of an assembly; else empty."]
    jobs: Sequence[TypicalJobData]
    parts: Sequence[PartData]
    layers: Annotated[
        Sequence[Sequence[str]], "The names of the parts by how deep they lie, outermost first."
    ]
    varies: Sequence[str]
    hits: Annotated[Sequence[str] | None, "Where the words of the search stand."] = None


class ModelsData(Record):
    """Machines and assemblies that ship with the program; of a search, the best first."""

    models: Sequence[ModelData]


def models_json(found: Iterable[ShippedModel | SearchHit]) -> dict[str, Any]:
    """Models, or what a search has found, the best first."""
    return ModelsData(models=[_model(one) for one in found]).plain()


def _model(one: ShippedModel | SearchHit) -> ModelData:
    model, hits = (one.model, list(hit_lines(one))) if isinstance(one, SearchHit) else (one, None)
    return ModelData.of(
        model,
        jobs=[TypicalJobData.of(job, for_=job.purpose) for job in model.jobs],
        parts=[PartData(name=name, label=label) for name, label in model.parts],
        hits=hits,
    )
