"""What else could be done while the job is open, as a table: now, against another day."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from rich.text import Text

from sequencer import __version__
from sequencer.plan.extras import WORTH, Extra, Extras
from sequencer.views.blockers_json import number
from sequencer.views.lines import clean, hanging
from sequencer.views.words import duration, listing, part_words, target_words

if TYPE_CHECKING:
    from rich.console import Console

VERSION = 1
"""Raised when the meaning of a key changes."""

MARK = "*"
"""Stands before an extra that is worth doing, so that it is seen without colour."""


def print_extras(found: Extras, console: Console) -> None:
    """Print what comes off anyway, then the table of what could."""
    aims = listing(target_words(found.machine, target) for target in found.targets)
    hanging(console, found.machine.name, style="bold")
    hanging(console, f"{aims}: what else could be done with the job open", style="bold")
    ways = "both ways" if found.both_ways else "the way in"
    hanging(
        console,
        f"The job itself takes {duration(found.seconds)} ({ways}{'' if found.proven else ', not proven'}). "
        "Now: what the extra adds to it. Another day: what it takes as a job of its own.",
    )
    anyway = [extra for extra in found.extras if extra.comes_off_anyway]
    if anyway:
        console.print()
        hanging(console, "Off anyway, at no extra work", style="bold")
        for extra in anyway:
            _off_anyway(found, extra, console)
    rest = [extra for extra in found.extras if not extra.comes_off_anyway and _is_told(extra)]
    if rest:
        console.print()
        hanging(console, "Not yet off: what it would add, the most worthwhile first", style="bold")
        _table(found, rest, console)
        if any(extra.worth_doing for extra in rest):
            worth = f"something is renewed there, and {share_words(WORTH)} or more of the work is saved"
            hanging(console, f"{MARK} worth doing while you are in there: {worth}.")
    if found.interrupted:
        missing = sum(extra.possible and extra.share_saved is None for extra in found.extras)
        hanging(console, f"Interrupted: {missing} of {len(found.extras)} not worked out.", style="bold")


def _is_told(extra: Extra) -> bool:
    """Whether there is anything to say of it; after an interruption there may not be."""
    return not extra.possible or extra.now is not None or extra.alone is not None


def _off_anyway(found: Extras, extra: Extra, console: Console) -> None:
    alone = "not worked out" if extra.alone is None else duration(extra.alone)
    words = f"{part_words(found.machine, extra.part)} ({alone} another day)"
    if extra.renew:
        words += f": {renewal_words(extra)}"
    hanging(console, words, lead="  ", hang=6)


def _table(found: Extras, extras: list[Extra], console: Console) -> None:
    from rich.table import Table

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    table.add_column("", no_wrap=True)
    table.add_column("part", ratio=3, overflow="fold")
    for head in ("now", "another day", "saved"):
        table.add_column(head, justify="right", no_wrap=True)
    table.add_column("to renew", ratio=3, overflow="fold")
    for extra in extras:
        table.add_row(
            MARK if extra.worth_doing else "",
            Text(clean(part_words(found.machine, extra.part))),
            *_figures(extra),
            Text(clean(renewal_words(extra))),
        )
    with console.capture() as taken:
        console.print(table)
    for line in taken.get().splitlines():
        console.print(Text.from_ansi(line.rstrip()), soft_wrap=True)


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


def extras_json(found: Extras) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "version": VERSION,
        "made_by": f"sequencer {__version__}",
        "kind": "extras",
        "machine": found.machine.name,
        "file": found.machine.file,
        "targets": [str(target) for target in found.targets],
        "both_ways": found.both_ways,
        "seconds": number(found.seconds),
        "proven": found.proven,
        "interrupted": found.interrupted,
        "extras": [_extra(extra) for extra in found.extras],
    }


def _extra(extra: Extra) -> dict[str, Any]:
    def seconds(value: Fraction | None) -> int | float | None:
        return None if value is None else number(value)

    return {
        "part": extra.part,
        "off_anyway": extra.comes_off_anyway,
        "possible": extra.possible,
        "now_seconds": seconds(extra.now),
        "alone_seconds": seconds(extra.alone),
        "share_saved": None if extra.share_saved is None else float(extra.share_saved),
        "proven": extra.proven,
        "worth_doing": extra.worth_doing,
        "price": seconds(extra.price),
        "renew": [
            {
                "item": item.item,
                "count": item.count,
                "price": seconds(item.price),
                "interval": item.interval,
            }
            for item in extra.renew
        ],
    }
