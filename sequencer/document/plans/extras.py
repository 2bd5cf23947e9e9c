"""What else could be done while the job is open, as a table: now, against another day."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from sequencer.document.blocks import Block, Heading, Item, Items, Para, Table, Title, Tone
from sequencer.document.hours import hours_words
from sequencer.document.words import duration, target_words
from sequencer.graph.said import part_words
from sequencer.plan.extras import WORTH, Extra, Extras
from sequencer.wording import listing

MARK = "*"
"""Stands before an extra that is worth doing, so that it is seen without colour."""


def extras_document(found: Extras) -> Iterator[Block]:
    """What comes off anyway, then the table of what could."""
    aims = listing(target_words(found.machine, target) for target in found.targets)
    yield Title(found.machine.name)
    yield Title(f"{aims}: what else could be done with the job open")
    least = "" if found.proven else ", not proven the least"
    way_in = f"The way in takes {hours_words(found.hours)}"
    by_file = f"{duration(found.seconds)}{' both ways' if found.both_ways else ''}{least}"
    yield Para(
        f"{way_in}; by the file's times {by_file}. Everything below is by the file's times, to compare with "
        "that. Now: what the extra adds to the job. Another day: what it takes as a job of its own."
    )
    anyway = [extra for extra in found.extras if extra.comes_off_anyway]
    if anyway:
        yield Heading("Off anyway, no extra work")
        yield Items(tuple(Item(_off_anyway(found, extra)) for extra in anyway))
    rest = [extra for extra in found.extras if not extra.comes_off_anyway and _is_told(extra)]
    if rest:
        yield Heading("Not yet off: what it would add, the most worthwhile first")
        yield _table(found, rest)
        if any(extra.worth_doing for extra in rest):
            worth = f"something is renewed there, and {share_words(WORTH)} or more of the work is saved"
            yield Para(f"{MARK} worth doing while you are in there: {worth}.")
    if found.interrupted:
        missing = sum(extra.possible and extra.share_saved is None for extra in found.extras)
        yield Para(f"Interrupted: {missing} of {len(found.extras)} not worked out.", Tone.STRONG)


def _is_told(extra: Extra) -> bool:
    """Whether there is anything to say of it; after an interruption there may not be."""
    return not extra.possible or extra.now is not None or extra.alone is not None


def _off_anyway(found: Extras, extra: Extra) -> str:
    alone = "not worked out" if extra.alone is None else duration(extra.alone)
    words = f"{part_words(found.machine, extra.part)} ({alone} another day)"
    return f"{words}: {renewal_words(extra)}" if extra.renew else words


def _table(found: Extras, extras: list[Extra]) -> Table:
    rows = tuple(
        (
            MARK if extra.worth_doing else "",
            part_words(found.machine, extra.part),
            *_figures(extra),
            renewal_words(extra),
        )
        for extra in extras
    )
    heads = ("", "part", "now", "another day", "saved", "to renew")
    return Table(heads, rows, right=frozenset({2, 3, 4}), wide=frozenset({1, 5}))


def _figures(extra: Extra) -> tuple[str, str, str]:
    """What it takes now, and another day, and the share saved; a mark where it isn't proven."""
    if not extra.possible:
        return "not possible", "" if extra.alone is None else duration(extra.alone), ""
    about = "" if extra.proven else "about "
    share = extra.share_saved
    return (
        "?" if extra.now is None else about + duration(extra.now),
        "?" if extra.alone is None else duration(extra.alone),
        "" if share is None else share_words(share),
    )


def share_words(share: Fraction) -> str:
    """A share in per cent; a whole only where nothing is left over."""
    return "100 %" if share == 1 else f"{min(99, round(float(share) * 100))} %"


def renewal_words(extra: Extra) -> str:
    """``2 × Water-pipe O-ring 3.80; Timing belt 38.00, every 100000 km``."""
    items = []
    for item in extra.renew:
        words = f"{item.count} × {item.item}" if item.count > 1 else item.item
        if item.price is not None:
            words += f" {float(item.price * item.count):.2f}"
        if item.interval:
            words += f", every {item.interval}"
        items.append(words)
    return "; ".join(items)
