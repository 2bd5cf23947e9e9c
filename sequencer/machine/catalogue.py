"""What ships with the program: machines and assemblies, what each is, and which one somebody means.

A search goes over names, labels, the words of the jobs and of the parts. Each word has to be somewhere; a
slip of the pen is forgiven. A line that has all of them counts for more, and a name for more than a part.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from sequencer.errors import SequencerError
from sequencer.machine.assembly import shelf
from sequencer.machine.checks.typical_checks import JOBS, typical_jobs
from sequencer.machine.facts.typical import TypicalJob
from sequencer.machine.faults import Faults, MachineFileError
from sequencer.machine.layers import layers
from sequencer.machine.library import folder
from sequencer.machine.reader.entries_of import validated
from sequencer.machine.reader.source import read_source
from sequencer.machine.reader.yaml_tree import Tree, compose
from sequencer.machine.schema.job_entry import JobEntry
from sequencer.machine.written_out import whole
from sequencer.wording import capital

MACHINE, ASSEMBLY = "machine", "assembly"

_VARIES = "What varies between real ones:"
"""In the comments at the head of a file, over a list of what other machines of its type have."""

ALIKE = 84
"""From so many per cent of equal letters on, a word of four letters or more is a slip for another."""


@dataclass(frozen=True)
class Field:
    """A line that a search goes over: what kind of thing it is, the words, how much a hit there counts."""

    kind: str
    words: str
    weight: float


@dataclass(frozen=True)
class ShippedModel:
    """A machine or an assembly that ships with the program.

    Attributes:
        name: What commands call it; of an assembly what ``include`` calls it.
        kind: ``machine`` or ``assembly``.
        label: What it is.
        about: What its file says of it.
        version: Of an assembly.
        jobs: What is often done on it; an assembly has none.
        parts: The names of its parts and what they are called; an assembly's own, without what it includes.
        layers: The parts by how deep they lie, by name, the outermost first.
        varies: What real ones have otherwise, in words.
        path: Its file.
    """

    name: str
    kind: str
    label: str
    about: str
    version: str
    jobs: tuple[TypicalJob, ...]
    parts: tuple[tuple[str, str], ...]
    layers: tuple[tuple[str, ...], ...]
    varies: tuple[str, ...]
    path: Path

    def called(self, part: str) -> str:
        """What a part of it is called."""
        return dict(self.parts)[part]

    @cached_property
    def fields(self) -> tuple[Field, ...]:
        """All that a search goes over."""
        return tuple(self._fields())

    def _fields(self) -> Iterator[Field]:
        yield Field("name", f"{self.name} {self.label}", 3)
        for job in self.jobs:
            yield Field("job", f"{job.label} ({job.name})", 2.5)
            for words in job.purpose:
                yield Field(f"job {job.label}", words, 1.5)
            for words in job.renew:
                yield Field(f"renewed with {job.label}", words, 1.2)
        for _, label in self.parts:
            yield Field("part", label, 1)
        if self.about:
            yield Field("about", self.about, 1)


@dataclass(frozen=True)
class SearchHit:
    """A model that a search has found, with the fields that did it, the best first; ``whole``: all words."""

    model: ShippedModel
    fields: tuple[Field, ...]
    score: float
    whole: bool


def models() -> tuple[ShippedModel, ...]:
    """All that ships, the machines first, each kind in the order of the names.

    Raises:
        MachineFileError: A file of the library is broken.
    """
    machines = (_model(path, MACHINE) for path in sorted(folder().glob("*.yaml")))
    return (*machines, *(_model(shelf.library() / f"{name}.yaml", ASSEMBLY) for name in shelf.shipped()))


def model_called(known: Iterable[ShippedModel], name: str) -> ShippedModel:
    """The model of this name.

    Raises:
        SequencerError: There is none.
    """
    wanted = name.strip().removesuffix(".yaml").casefold()
    found = next((one for one in known if one.name.casefold() == wanted), None)
    if found is None:
        raise SequencerError(f"nothing ships under the name {name!r}", "sequencer models lists what does")
    return found


def search(known: Iterable[ShippedModel], text: str) -> tuple[SearchHit, ...]:
    """What has all words of ``text``, the best first; if nothing has, what has some of them."""
    words = _stems(text)
    hits = [hit for model in known if (hit := _hit(model, words)) is not None] if words else []
    all_words = [hit for hit in hits if hit.whole]
    return tuple(sorted(all_words or hits, key=lambda hit: -hit.score))


def _hit(model: ShippedModel, words: list[str]) -> SearchHit | None:
    best: dict[str, float] = {}
    scored: list[tuple[float, int, Field]] = []
    for number, field in enumerate(model.fields):
        line = _stems(field.words)
        likeness = _likeness(words, line)
        got = [share for share in likeness if share]
        for word, share in zip(words, likeness, strict=True):
            best[word] = max(best.get(word, 0), share * field.weight)
        if got:
            whole = 2 if len(got) == len(words) else 1
            much = 1 + len(got) / len(line)  # a line that says this and little else is about it
            scored.append((sum(got) * field.weight * whole * much, -number, field))
    if not scored:
        return None
    scored.sort(reverse=True, key=lambda one: one[:2])
    whole = all(best[word] for word in words)
    score = sum(best.values()) + scored[0][0]
    return SearchHit(model, tuple(field for _, _, field in scored), score, whole)


def _likeness(words: list[str], line: list[str]) -> list[float]:
    """For each word how much of it a line has, 0 to 1; ``waterpump`` is in ``water pump``."""
    pairs = [f"{one}{other}" for one, other in itertools.pairwise(line)]
    return [max((_alike(word, other) for other in (*line, *pairs)), default=0) for word in words]


def _alike(word: str, other: str) -> float:
    if word == other:
        return 1
    if len(word) >= 3 and other.startswith(word):
        return 0.9
    if min(len(word), len(other)) < 4 or word[0] != other[0]:
        return 0
    from rapidfuzz import fuzz

    return 0.7 if fuzz.ratio(word, other, score_cutoff=ALIKE) else 0


def _stems(text: str) -> list[str]:
    """The words of a text, each once, one and several of a thing alike."""
    found = (re.sub(r"(?<=[^s])s$", "", word) for word in re.findall(r"[^\W_]+", text.casefold()))
    return list(dict.fromkeys(found))


def _model(path: Path, kind: str) -> ShippedModel:
    faults = Faults()
    text = read_source(path, faults, path.name)
    tree = None if text is None else compose(text, path.name, faults)
    if tree is not None and kind == MACHINE and not faults.fatal:
        written = whole(tree, faults, path.parent)
        tree = None if written is None else written.tree
    if text is None or tree is None or faults.fatal or not isinstance(tree.data, dict):
        raise MachineFileError(faults.sorted())
    data = tree.data
    return ShippedModel(
        name=path.stem,
        kind=kind,
        label=str(data.get(kind) or path.stem),
        about=str(data.get("about") or ""),
        version=str(data.get("version") or ""),
        jobs=_jobs(tree, faults),
        parts=tuple((name, _label(name, about)) for name, about in (data.get("parts") or {}).items()),
        layers=layers(data.get("parts") or {}),
        varies=tuple(_varies(text)),
        path=path,
    )


def _jobs(tree: Tree, faults: Faults) -> tuple[TypicalJob, ...]:
    raw = tree.data.get(JOBS) or {}
    read = {name: validated(JobEntry, about, (JOBS, name), tree, faults) for name, about in raw.items()}
    return tuple(typical_jobs({name: job for name, job in read.items() if job}, tree).values())


def _label(name: str, about: object) -> str:
    label = about.get("label") if isinstance(about, dict) else None
    return re.sub(r"\s*<[^>]*>", "", str(label)) if label else capital(re.sub("[-_]+", " ", name))


def _varies(text: str) -> Iterator[str]:
    """The list under its line in the head's comments; a line without a dash goes on with the one before."""
    found: list[str] = []
    for line in text.partition(_VARIES)[2].splitlines()[1:]:
        words = line.removeprefix("#").strip()
        if not line.startswith("#") or not words:
            break
        if words.startswith("- "):
            found.append(words.removeprefix("- "))
        elif found:
            found[-1] += f" {words}"
    yield from found
