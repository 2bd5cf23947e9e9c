"""The diagram for the page: the job as it stands, and what is said of each box when it is tapped."""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from html import escape, unescape
from threading import Lock

from sequencer.bench.pages.answers import part_path
from sequencer.document.barring.explained import Explained
from sequencer.job.now.moment import Moment

_KEPT: OrderedDict[tuple[str, str, int], Diagram] = OrderedDict()
_LOCK = Lock()
KEEP = 4
"""Pictures kept: drawing one takes half a second."""

_NODE = re.compile(r'<g id="(node\d+)" class="node"><title>([^<]*)</title>(.*?)</g>', re.DOTALL)


@dataclass(frozen=True)
class TappedBox:
    """What is said of a thing: ``node`` is its first box, ``page`` that of its part, if it is one."""

    node: str
    about: Explained
    page: str


@dataclass(frozen=True)
class Diagram:
    """A drawing as SVG text without a head, what is said of its boxes, and the box to open at."""

    svg: str
    told: tuple[TappedBox, ...]
    focus: str


def picture_of(moment: Moment) -> Diagram:
    """The diagram of a job as it stands; drawn once for each moment."""
    key = (moment.card.id, moment.sight.digest, moment.state.seq)
    with _LOCK:
        if key not in _KEPT:
            _KEPT[key] = _drawn(moment)
            while len(_KEPT) > KEEP:
                _KEPT.popitem(last=False)
        _KEPT.move_to_end(key)
        return _KEPT[key]


def _drawn(moment: Moment) -> Diagram:
    from sequencer.document.barring.explained import abouts
    from sequencer.document.barring.progress import barring_now, home_of
    from sequencer.render.pictures.barring.pages import key_of
    from sequencer.render.pictures.sketches import for_screen

    picture = barring_now(moment)
    said = abouts(moment, picture)
    things = {key_of(thing): key for key, thing in picture.things.items()}
    svg = for_screen(picture)
    boxes = [(node, things[unescape(title)]) for node, title, _ in _NODE.findall(svg)]
    told = {key: TappedBox(node, said[key], _page(moment, key)) for node, key in reversed(boxes)}
    # What comes before anything else has no box of its own: then the first thing after it that has.
    homes = (home_of(step.operation) for step in moment.plan.steps)
    focus = next((told[key].node for key in homes if key in told), "")
    linked = _linked(svg[svg.index("<svg") :], {node: told[key] for node, key in boxes})
    return Diagram(linked, tuple(told.values()), focus)


def _page(moment: Moment, key: str) -> str:
    return part_path(key) if key in moment.machine.parts else ""


def _linked(svg: str, told: Mapping[str, TappedBox]) -> str:
    """``svg`` with a link around each box, to what is said of it, and its name in words."""

    def link(found: re.Match[str]) -> str:
        node, _, body = found.groups()
        about, name = f"about-{told[node].node}", escape(told[node].about.name)
        where = escape(told[node].page or f"#{about}")
        link = f'<a href="{where}" aria-label="{name}" aria-controls="{about}">{body}</a>'
        return f'<g id="{node}" class="node"><title>{name}</title>{link}</g>'

    return _NODE.sub(link, svg)
