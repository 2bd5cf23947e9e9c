"""The dependency diagram for the page: its boxes lead to their parts, and it is drawn once for each plan."""

from __future__ import annotations

import re
from collections import OrderedDict
from html import escape, unescape
from threading import Lock

from sequencer.bench.pages.answers import part_path
from sequencer.document.plans.plan import aims_of
from sequencer.job.now.moment import Moment
from sequencer.plan.plan import Refit, Teardown
from sequencer.render.pictures.boxes import node_key

_KEPT: OrderedDict[tuple[str, tuple[object, ...]], str] = OrderedDict()
_LOCK = Lock()
KEEP = 4
"""Pictures kept: drawing one takes half a second."""

_NODE = re.compile(
    r'(<g id="node\d+" class="node">\s*<title>([^<]*)</title>)(.*?)(</g>\s*(?=<!--|<g |</g>))', re.DOTALL
)


def picture_of(moment: Moment) -> str:
    """The diagram of what the job is about, as SVG text without a head."""
    key = (moment.sight.digest, moment.state.steps)
    with _LOCK:
        if key not in _KEPT:
            _KEPT[key] = _drawn(moment)
            while len(_KEPT) > KEEP:
                _KEPT.popitem(last=False)
        _KEPT.move_to_end(key)
        return _KEPT[key]


def _drawn(moment: Moment) -> str:
    from sequencer.document.barring.made import barring
    from sequencer.render.pictures.sketches import for_screen

    plan = moment.plan
    way_in = plan.teardown if isinstance(plan, Refit) else plan
    assert isinstance(way_in, Teardown)
    # What is left of a job: that it was proven is no longer said of it, nor that it was not.
    left = f"{moment.machine.name}: what is left of it, for {aims_of(way_in)}" if way_in.steps else ""
    svg = for_screen(barring(moment.machine, way_in if way_in.steps else None, title=left))
    return linked(svg[svg.index("<svg") :], moment)


def linked(svg: str, moment: Moment) -> str:
    """``svg`` with a link around each box, to the page of its part."""
    machine = moment.machine
    pages = {
        node_key(part, position): part_path(part) for part in machine.parts for position in machine.positions
    }

    def link(found: re.Match[str]) -> str:
        head, key, body, tail = found.groups()
        page = pages.get(unescape(key))  # a drawing program may write any sign as its number
        return f'{head}<a href="{escape(page)}">{body}</a>{tail}' if page else found.group()

    return _NODE.sub(link, svg)
