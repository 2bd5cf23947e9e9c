"""What the boxes show, held against what the file says: seen and not written, not seen, agreed."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from sequencer.graph.derive import derive
from sequencer.graph.geometry.hits import Hit, Seen
from sequencer.graph.geometry.reaching import free_arcs, shut_by_itself
from sequencer.graph.geometry.seen import free_ways, inside_each_other, see, two_legs
from sequencer.graph.geometry.solids import TOLERANCE_MM, Moved, Solids, solids, without
from sequencer.graph.operations import Clause, Kind, OperationGraph
from sequencer.graph.reach import ancestors, possible
from sequencer.machine.model import Atom, Joint, Machine, Need, Part, Place, State, Subject
from sequencer.machine.trade.relations import OFF, UNDO, Relation

DOES = {"off": Kind.REMOVE, "loose": Kind.LOOSEN, "aside": Kind.MOVE_ASIDE, "undo": Kind.UNDO}


@dataclass(frozen=True)
class Agreed:
    """A relation that is seen and holds; ``written`` is where, or None where it follows from others."""

    seen: Seen
    written: Place | None


@dataclass(frozen=True)
class UnseenRelation:
    """A relation that is written and not seen.

    Attributes:
        holder: What waits, as the file names it; ``key`` is that of the relation.
        free: The ways out that nothing bars, where the part leaves.
        less: Where the part named is in the way: the state of it that would do, less than what is asked for.
    """

    holder: str
    key: str
    need: Need
    free: tuple[str, ...] = ()
    less: Atom | None = None


@dataclass(frozen=True)
class Scan:
    """What came of holding a machine file against its own geometry.

    Attributes:
        hidden: Seen and not written.
        doubts: Written and not seen, where both ends have geometry.
        agreed: Seen, and it holds.
        unjudged: What waits, as the file names it, for each need of which one end has no geometry.
        inside: Pairs of parts that lie inside each other as fitted.
        bare: Parts without any room given.
        shut: Joints whose tool their own part bars.
        legs: Parts that come out in two legs and no other way: how.
        arcs: Joints whose handle has no full circle, and an arc: of how many degrees, about which way.
    """

    machine: Machine
    room: Solids
    hidden: tuple[Seen, ...]
    doubts: tuple[UnseenRelation, ...]
    agreed: tuple[Agreed, ...]
    unjudged: tuple[str, ...]
    inside: tuple[tuple[str, str], ...]
    bare: tuple[str, ...]
    shut: tuple[str, ...] = ()
    legs: Mapping[str, str] = field(default_factory=dict)
    arcs: Mapping[str, tuple[float, str]] = field(default_factory=dict)


def scan(machine: Machine, tolerance_mm: float = TOLERANCE_MM, barred: Collection[Moved] = ()) -> Scan:
    """Hold what ``machine`` says of what is in the way against where its things are.

    ``barred`` are states of parts that nothing is to be cleared by: they are known not to work there.

    Raises:
        SequencerError: A shape can't be read.
    """
    room = without(solids(machine, tolerance_mm), barred)
    return compare(machine, room, see(machine, room))


def compare(machine: Machine, room: Solids, seen: Iterable[Seen]) -> Scan:
    """Sort what was ``seen``, and what is written, into what agrees and what doesn't."""
    seen = tuple(seen)
    graph = derive(machine)
    answered = _answered(machine, room, seen)
    hidden, agreed = [], []
    for one in seen:
        written = _written(machine, one) or answered.get(one)
        if written is not None or follows(graph, graph.needs, one):
            agreed.append(Agreed(one, written))
        else:
            hidden.append(one)
    doubts, unjudged = _doubts(machine, room, seen)
    bare = tuple(part for part in machine.parts if part not in room.bodies)
    inside = inside_each_other(room)
    shut = tuple(path for part in machine.parts.values() for path in shut_by_itself(part, room))
    return Scan(
        machine,
        room,
        tuple(hidden),
        doubts,
        tuple(agreed),
        unjudged,
        inside,
        bare,
        shut,
        two_legs(machine, room, seen),
        {path: arc for part in machine.parts.values() for path, arc in free_arcs(part, room)},
    )


def own_needs(machine: Machine, part: str, joint: str | None, move: str = OFF) -> Iterator[Need]:
    """The needs that hold for a move, as written; for a part that comes off those of its joints too."""
    whole = machine.parts[part]
    yield from (need for need in whole.waits if (UNDO if joint is not None else move) in need.relation.waits)
    of_it = [whole.joints[joint]] if joint is not None else whole.joints.values() if move == OFF else ()
    yield from (need for one in of_it for need in one.waits)


def _written(machine: Machine, seen: Seen) -> Place | None:
    """Where the holder's own needs say as much as was seen."""
    for need in own_needs(machine, seen.part, seen.joint, seen.move):
        if all(any(_enough(machine, atom, wanted) for wanted in seen.any_of) for atom in need.any_of):
            return need.place
    return None


def _answered(machine: Machine, room: Solids, seen: tuple[Seen, ...]) -> dict[Seen, Place]:
    """Where the author said in other words how one obstacle gets out of the way of one move.

    A need answers for one obstacle at the most: for the first of its alternatives that is seen in the way.
    """
    found: dict[Seen, Place] = {}
    moves: dict[tuple[str, str | None, str], list[Seen]] = {}
    for one in seen:
        if len({hit.obstacle for hit in one.hits}) == 1:
            moves.setdefault((one.part, one.joint, one.move), []).append(one)
    for (part, joint, move), obstacles in moves.items():
        for need in own_needs(machine, part, joint, move):
            alone = len(need.any_of) == 1
            pairs = ((atom, one) for atom in need.any_of for one in obstacles)
            met = (one for atom, one in pairs if answers(machine, room, atom, one.hits[0].clears[0], alone))
            first = next(met, None)
            if first is not None:
                found.setdefault(first, need.place)
    return found


def _enough(machine: Machine, atom: Atom, wanted: Atom) -> bool:
    """Whether ``atom`` clear means ``wanted`` clear."""
    if atom.part != wanted.part:
        return False
    if wanted.joint is None:
        return atom.joint is None and atom.state >= wanted.state
    return atom.joint == wanted.joint or (atom.joint is None and wanted.joint in _undone(machine, atom))


def _undone(machine: Machine, atom: Atom) -> tuple[str, ...]:
    """The joints that are undone once a part is in a state."""
    part = machine.parts[atom.part]
    if atom.state is State.OFF:
        return tuple(part.joints)
    return part.aside.joints if part.aside and atom.state is State.ASIDE else ()


def answers(machine: Machine, room: Solids, atom: Atom, gone: Atom, alone: bool) -> bool:
    """Whether a need for ``atom`` speaks of the obstacle that ``gone`` takes away, and asks for enough.

    A body may be said to be out of the way once one end of it is undone (a hose, a strap): boxes don't bend,
    so the author's word holds; not so if the joint has a room of its own, and the need is about that
    ``alone``. Of a state of which the file doesn't say where the part goes, the author's word holds too.
    """
    if atom.part != gone.part:
        return False
    if gone.joint is not None:
        return atom.joint == gone.joint
    if atom.joint is not None:
        return not (alone and f"{atom.part}/{atom.joint}" in room.joints)
    part = machine.parts[atom.part]
    freedom = part.loose if atom.state is State.LOOSE else part.aside if atom.state is State.ASIDE else None
    return atom.state >= gone.state or (freedom is not None and freedom.by is None)


def operation_of(seen: Seen) -> str:
    """The operation that a relation is about, as a plan names it."""
    return DOES[seen.move].of(seen.holder)


def follows(graph: OperationGraph, needs: Mapping[str, Sequence[Clause]], seen: Seen) -> bool:
    """Whether the move can't be done in any order before one of ``any_of`` is clear, by these needs.

    Needs are monotone: it follows exactly if the move is out of reach once what would clear them is struck
    out. It can't where nothing that the move waits for, in turn, is among that.
    """
    clearing = {name for atom in seen.any_of for name in graph.clearing(atom)}
    move = operation_of(seen)
    if clearing.isdisjoint(ancestors(needs, (move,))):
        return False
    return move not in possible({name: clauses for name, clauses in needs.items() if name not in clearing})


def _doubts(
    machine: Machine, room: Solids, seen: tuple[Seen, ...]
) -> tuple[tuple[UnseenRelation, ...], tuple[str, ...]]:
    """Written and not seen; and what waits for each need that can't be judged."""
    doubts, unjudged = [], []
    for part, joint, need in _all_needs(machine):
        holder, relation = joint.path if joint else part.name, need.relation
        about = [one for one in seen if one.part == part.name and (joint is None or one.joint == joint.name)]
        if joint is None:
            about = [one for one in about if one.move in relation.waits]
        if not _judged(room, relation, part, joint) or not any(_has_room(room, atom) for atom in need.any_of):
            unjudged.append(holder)
            continue
        met = [hit for one in about for hit in one.hits if any(_speaks_of(atom, hit) for atom in need.any_of)]
        less = _less(machine, need, [hit.clears for hit in met])
        if not met or less:
            free = (
                free_ways(machine, part, room)
                if joint is None and part.out and part.name in room.bodies
                else ()
            )
            doubts.append(UnseenRelation(holder, relation.key, need, free, less))
    return tuple(doubts), tuple(unjudged)


def _all_needs(machine: Machine) -> Iterator[tuple[Part, Joint | None, Need]]:
    for part in machine.parts.values():
        yield from ((part, None, need) for need in part.waits)
        for joint in part.joints.values():
            yield from ((part, joint, need) for need in joint.waits)


def _judged(room: Solids, relation: Relation, part: Part, joint: Joint | None) -> bool:
    """Whether there is geometry of how the holder moves or is reached."""
    leaves = part.name in room.bodies and bool(part.out)
    if not relation.reaches:
        return leaves
    joints = part.joints.values() if joint is None else (joint,)
    reached = any(one.spots and one.axis and (one.reach or one.swing or one.draw) for one in joints)
    return reached or (joint is None and leaves)


def _has_room(room: Solids, atom: Atom) -> bool:
    return atom.part in room.bodies if atom.joint is None else f"{atom.part}/{atom.joint}" in room.joints


def _speaks_of(atom: Atom, hit: Hit) -> bool:
    """Whether a need is about this obstacle: the part or any of its joints, or the joint itself."""
    seen = Subject(hit.obstacle)
    return atom.part == seen.part and (atom.joint is None or seen.joint in ("", atom.joint))


def _less(machine: Machine, need: Need, clears: list[tuple[Atom, ...]]) -> Atom | None:
    """The state that would do where a need asks for its one part off and less is seen to be enough."""
    if len(need.any_of) > 1 or need.any_of[0].joint is not None or not clears:
        return None
    asked = need.any_of[0]
    best = [max((a for a in one if a.joint is None), key=lambda a: a.state, default=None) for one in clears]
    least = max((atom.state for atom in best if atom is not None), default=None)
    if least is None or any(atom is None for atom in best) or least >= asked.state:
        return None
    return Atom(asked.part, least) if least in machine.parts[asked.part].states() else None
