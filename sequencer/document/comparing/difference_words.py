"""The differences of two machines in the words of the trade."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from pathlib import PurePath

from sequencer.document.blocks import Block, Heading, Item, Items, Para, Span, Title, Tone
from sequencer.document.comparing.differences import MachineDifference
from sequencer.document.comparing.facts import GROUPS, Fact
from sequencer.document.words import plural
from sequencer.machine.model import Machine, Place
from sequencer.wording import capital


def compared_document(one: Machine, other: Machine, found: Sequence[MachineDifference]) -> Iterator[Block]:
    """What the two have differently, by groups; of each what the first says, then the second."""
    yield Title(f"{one.name} | {other.name}")
    if not found:
        yield Para("Both say the same of the machine.")
        return
    short = _short_names(one.file, other.file)
    yield Para(f"{one.file} | {other.file}: {plural(len(found), 'difference')}")
    for group, differing in groupby(found, key=lambda each: each.group):
        yield Heading(GROUPS[group])
        lines = []
        for label, of_one in groupby(differing, key=lambda each: each.label):
            told = [difference_words(each, short) for each in of_one]
            head = Span(capital(label), Tone.STRONG)
            if len(told) == 1:
                lines.append(Item((head, f": {told[0]}")))
            else:
                lines.append(Item((head,), below=tuple(told)))
        yield Items(tuple(lines))


def difference_words(difference: MachineDifference, short: Mapping[str, str]) -> str:
    """What differs, and what each says of it: ``count: 4 (a.yaml:7) | 6 (b.yaml:9)``.

    ``short`` has what a file is called here.
    """
    one, other, what = difference.one, difference.other, difference.what
    if one and other:
        return f"{what}: {_said(one, short)} | {_said(other, short)}"
    alone = one or other
    assert alone is not None
    said = ": ".join(filter(None, (what, alone.said)))
    where = (
        f"only in {_where(alone.place, short)}"
        if alone.place
        else "only in the first"
        if one
        else "only in the second"
    )
    return f"{said}; {where}" if said else where


def _said(fact: Fact, short: Mapping[str, str]) -> str:
    return f"{fact.said} ({_where(fact.place, short)})" if fact.place else fact.said


def _where(place: Place, short: Mapping[str, str]) -> str:
    return f"{short.get(place.file, place.file)}:{place.line}"


def _short_names(one: str, other: str) -> dict[str, str]:
    """The files by their bare names, where these tell them apart."""
    names = {file: PurePath(file).name for file in (one, other)}
    return names if len(set(names.values())) == len(names) else {}
