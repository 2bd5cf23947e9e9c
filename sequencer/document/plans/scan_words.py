"""What a scan found, in sentences: the same in the report, the picture, and the comments in a file."""

from __future__ import annotations

from sequencer.document.clean import clean
from sequencer.graph.geometry import Hit, Seen, UnseenRelation
from sequencer.graph.geometry.replayed import Collision
from sequencer.graph.said import path_words, sentence
from sequencer.machine.facts.frame import ANY, WAYS
from sequencer.machine.model import Atom, Machine, Need, State
from sequencer.machine.reader.items import as_written

_MEETS = {
    "out": "the way out {way} runs into {what}",
    "loose": "loosened, it runs into {what}",
    "aside": "moved aside, it runs into {what}",
    "reach": "the tool, along {way}, runs into {what}",
    "swing": "the tool's handle finds no arc free: {what}",
    "draw": "drawn out along {way}, it runs into {what}",
}

_TOLD = {"loose": "loosened", "aside": "moved aside", "off": "off"}


def body_words(machine: Machine, path: str) -> str:
    """A part, or ``part/joint`` with its part, by a label that may be from a stranger."""
    return clean(path_words(machine, path))


def clear_words(machine: Machine, atoms: tuple[Atom, ...]) -> str:
    """``Lid is off``, ``Lid is moved aside or Lid: plug is undone``."""
    return " or ".join(
        f"{body_words(machine, f'{atom.part}/{atom.joint}')} is undone"
        if atom.joint
        else f"{body_words(machine, atom.part)} is {_TOLD[atom.state.word]}"
        for atom in atoms
    )


def waits_words(seen: Seen, machine: Machine) -> str:
    """``Radiator comes straight out (+z tried) once Fan shroud is off``: no more than was tried."""
    out = machine.parts[seen.part].out if seen.move == "off" else ()
    tried = [one for way in out for one in (WAYS if way == ANY else (way,))]
    ways = " and ".join(dict.fromkeys((*tried, *(hit.way for hit in seen.hits if hit.way))))
    does = {
        "off": f"comes straight out ({ways} tried)",
        "loose": "can be loosened as far as the file says",
        "aside": "can be moved aside as the file says",
        "undo": f"can be reached straight from {ways}",
    }
    return f"{body_words(machine, seen.holder)} {does[seen.move]} once {clear_words(machine, seen.any_of)}"


def arc_words(arc: tuple[float, str]) -> str:
    """``85° about -y``: how far a handle turns, and where the middle of that is."""
    degrees, way = arc
    return f"{degrees:.0f}° about {way}"


def hit_words(machine: Machine, hit: Hit) -> str:
    """``the way out +z runs into Fan shroud``; ``…, with Manifold, which rides along``."""
    rides = f", with {body_words(machine, hit.rider)}, which rides along" if hit.rider else ""
    return _MEETS[hit.what].format(way=hit.way, what=body_words(machine, hit.obstacle)) + rides


def collision_words(machine: Machine, found: Collision) -> str:
    """``Step 4, undo pump: bolts: the tool, along +z, runs into Cable duct, moved aside by then``."""
    runs = _MEETS[found.what].format(way=found.way, what=body_words(machine, found.obstacle))
    lies = "" if found.state is State.FITTED else f", {_TOLD[found.state.word]} by then"
    return f"Step {found.step}, {sentence(machine, found.operation)}: {runs}{lies}"


def need_written(need: Seen | Need) -> str:
    """The relation as a file has it: ``guard``, ``{motor: loose}``, ``{any: [guard, motor/plug]}``."""
    items = [as_written(atom) for atom in need.any_of]
    return items[0] if len(items) == 1 else f"{{any: [{', '.join(items)}]}}"


def doubt_words(machine: Machine, doubt: UnseenRelation) -> str:
    """``Cover is written behind belt, and the boxes don't show it``."""
    head = f"{body_words(machine, doubt.holder)} is written {doubt.key} {need_written(doubt.need)}"
    if doubt.less is not None:
        return f"{head}; the boxes show that {as_written(doubt.less)} would do"
    free = f", and {' and '.join(doubt.free)} is free" if doubt.free else ""
    return f"{head}; the boxes don't show it{free}"
