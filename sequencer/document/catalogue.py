"""What ships with the program, in words: all of it, what a search finds, and one of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from textwrap import shorten

from sequencer.document.blocks import (
    Block,
    Fields,
    Heading,
    Item,
    Items,
    Para,
    Span,
    Table,
    Title,
    Tone,
    Words,
)
from sequencer.document.words import plural
from sequencer.machine.assembly.parameters import Parameter
from sequencer.machine.called import name_of
from sequencer.machine.catalogue import ASSEMBLY, MACHINE, SearchHit, ShippedModel
from sequencer.machine.facts.typical import TypicalJob
from sequencer.machine.model import Machine
from sequencer.wording import capital, listing

SHOWN_HITS = 3
_KINDS = {MACHINE: "Machines", ASSEMBLY: "Assemblies, to be included in a machine file"}
_SHORT = 110


def catalogue_document(known: Sequence[ShippedModel]) -> Iterator[Block]:
    """All that ships."""
    for kind, heading in _KINDS.items():
        if of_kind := [one for one in known if one.kind == kind]:
            yield Heading(heading)
            yield Items(tuple(_entry(one) for one in of_kind))
    yield Para(
        "One of them in full: sequencer models NAME. A search: sequencer models WORDS.", Tone.FAINT, True
    )


def search_document(text: str, hits: Sequence[SearchHit]) -> Iterator[Block]:
    """What a search has found, the best first, each with where its words stand."""
    if not hits:
        yield Para(f"Nothing that ships has any word of “{text}”. sequencer models lists all.")
        return
    if not hits[0].whole:
        yield Para(f"Nothing has all of “{text}”; these have some of it.", Tone.ALERT)
    yield Items(tuple(_entry(hit.model, tuple(hit_lines(hit))) for hit in hits))


def hit_lines(hit: SearchHit) -> Iterator[str]:
    """Where the words of a search stand in a model: ``part: Water pump``; what its name says is seen."""
    shown = [one for one in hit.fields if one.kind != "name"][:SHOWN_HITS]
    yield from (f"{one.kind}: {shorten(one.words, _SHORT, placeholder='…')}" for one in shown)


def jobs_line(model: ShippedModel) -> str:
    """The names of its jobs, in a line."""
    return f"jobs: {', '.join(job.name for job in model.jobs)}" if model.jobs else ""


def _entry(model: ShippedModel, below: tuple[str, ...] | None = None) -> Item:
    words: Words = (Span(model.name, Tone.STRONG), f"  {model.label}")
    lines = tuple(filter(None, [jobs_line(model)])) if below is None else below
    return Item(words, below=lines)


def model_document(
    model: ShippedModel, machine: Machine | None, parameters: Iterable[Parameter] = ()
) -> Iterator[Block]:
    """One model: what it is, its jobs, its parts by position and by depth, what varies, how it is used.

    Args:
        model: What it is.
        machine: The same, read whole; None for an assembly.
        parameters: What can be given for an assembly.
    """
    yield Title(model.label)
    version = f", version {model.version}" if model.version else ""
    yield Para(f"{model.name}: {'a machine file' if machine else f'an assembly{version}'}. {model.about}")
    yield Fields(tuple(_use(model)), apart=True)
    if model.jobs:
        yield Heading("Common jobs on it")
        yield Items(tuple(_job(job) for job in model.jobs))
    if machine is not None:
        yield Heading("Parts by where you stand")
        yield Items(
            tuple(
                Item((Span(place, Tone.STRONG),), below=(names,))
                for place, names in parts_by_position(machine)
            )
        )
    yield Heading("From outside in")
    yield Fields(tuple(layer_rows(model)))
    if parameters := tuple(parameters):
        yield Heading("What can be given")
        rows = tuple((one.name, _default(one), one.bounds, one.about) for one in parameters)
        yield Table(("name", "else", "range", "what"), rows, wide=frozenset({3}))
    if told := [*model.varies, *(varies_lines(machine) if machine else ())]:
        yield Heading("What varies between real ones")
        yield Items(tuple(Item(words, "-") for words in told))


def _use(model: ShippedModel) -> Iterator[tuple[str, Words]]:
    if model.kind == ASSEMBLY:
        version = f", version: {model.version}" if model.version else ""
        yield "Use", f"include: [{{assembly: {model.name}{version}, as: NAME}}]"
        return
    if model.jobs:
        first = model.jobs[0].name
        yield "Plan", f"sequencer plan {model.name} --job {first}"
        yield "Begin", f"sequencer new my-job --machine {model.name} --job {first}"
    yield "Yours", f"sequencer expand {model.name} -o mine.yaml"


def _job(job: TypicalJob) -> Item:
    below = [f"for: {'; '.join(job.purpose)}"] if job.purpose else []
    below += [f"off: {', '.join(job.off)}"]
    below += [f"renew: {'; '.join(job.renew)}"] if job.renew else []
    return Item((Span(job.label, Tone.STRONG), f"  --job {job.name}"), below=tuple(below))


def parts_by_position(machine: Machine) -> Iterator[tuple[str, str]]:
    """Each position with the parts that are worked on from there."""
    for position in machine.positions.values():
        names = [name_of(p.name, p.label) for p in machine.parts.values() if p.position == position.name]
        if names:
            yield position.label, ", ".join(names)


def layer_rows(model: ShippedModel) -> Iterator[tuple[str, str]]:
    """The parts by how deep they lie, outermost first."""
    for number, names in enumerate(model.layers, start=1):
        yield str(number), ", ".join(model.called(name) for name in names)


def _default(one: Parameter) -> str:
    if one.required:
        return "must be given"
    return "none" if one.default is None else str(one.default)


def varies_lines(machine: Machine) -> Iterator[str]:
    """What the file itself says of parts and joints that others of its type have otherwise."""
    for part in machine.parts.values():
        what = part.varies
        said = (
            [f"from {listing([machine.positions[one].label for one in what.places])}"] if what.places else []
        )
        said += ["or not there at all"] if what.missing else []
        said += [f"perhaps in the way: {listing(what.also)}"] if what.also else []
        if said:
            yield f"{capital(name_of(part.name, part.label))}: {', '.join(said)}"
        for joint in part.joints.values():
            own = [f"head {listing(joint.varies.heads)}"] if joint.varies.heads else []
            counts = [str(one) for one in joint.varies.counts]
            own += [f"{listing(counts)} of them"] if counts else []
            if own:
                words = f"{capital(name_of(part.name, part.label))}, {name_of(joint.name, joint.label)}"
                yield f"{words}: {', '.join(own)}"


def count_line(model: ShippedModel) -> str:
    """How much of it there is: parts and jobs."""
    jobs = f", {plural(len(model.jobs), 'job')}" if model.jobs else ""
    return f"{plural(len(model.parts), 'part')}{jobs}"
