"""Joints of a machine file into the model: how they come apart, how they go together."""

from __future__ import annotations

from fractions import Fraction

from sequencer.machine.building.building import NO_TIME, Building, boxes, once, said_by_ways
from sequencer.machine.checks.type_checks import varies_of
from sequencer.machine.checks.when_checks import awaited
from sequencer.machine.model import (
    HAND,
    Crack,
    Fastening,
    Joint,
    Torque,
)
from sequencer.machine.reader.tightening import stages_of, tightening
from sequencer.machine.reader.yaml_tree import Path
from sequencer.machine.schema.joint_entry import (
    FitEntry,
    JointEntry,
)
from sequencer.machine.trade.kinds import ANY_KIND, kind_of_joint
from sequencer.machine.trade.relations import JOINT
from sequencer.torque.fasteners.threads import is_left_hand, sized
from sequencer.torque.tightening.prevailing import raised


class Joints(Building):
    """Builds the joints of a machine."""

    def _joint(self, part: str, name: str, joint: JointEntry, position: str) -> Joint:
        path: Path = ("parts", part, "joints", name)
        kind = kind_of_joint(joint.kind)
        general = kind_of_joint(ANY_KIND)
        assert general is not None
        count = joint.count or 1
        seconds, source = (kind or general).seconds * count, "default"
        if joint.time is not None or joint.each is not None:
            seconds, source = (
                joint.time if joint.time is not None else (joint.each or NO_TIME) * count,
                "file",
            )
        tool = self._tool(joint.tool, joint.head, spanner=bool(kind and kind.spanner))
        where = joint.from_ or position
        return Joint(
            name=name,
            part=part,
            kind=kind.name if kind else str(joint.kind),
            tool=tool,
            position=where,
            seconds=seconds,
            seconds_from=source,
            place=self._place(*(str(step) for step in path)),
            count=count,
            label=joint.label,
            head=joint.head,
            thread=sized(joint.thread),
            left_hand=is_left_hand(joint.thread or ""),
            length_mm=joint.length,
            property_class=joint.class_,
            torque=self._torque(joint, path),
            judgement=self.judged[path],
            by_hand=joint.torque.by_hand if joint.torque else None,
            friction=joint.friction,
            engaged_in=joint.engaged_in,
            engagement=joint.engagement,
            at=tuple(spot for spot in joint.at or () if len(spot) == 2),
            spots=tuple(spot for spot in joint.at or () if len(spot) == 3),
            axis=joint.axis,
            reach=joint.reach,
            swing=joint.swing,
            draw=joint.draw,
            boxes=boxes(joint.box),
            tolerance=joint.tolerance,
            sealing=self._sealing(joint.sealant, path),
            waits=self._waits(joint, JOINT, path),
            **self._links(joint, JOINT, (part, name)),
            crack=self._crack(joint, seconds, path),
            cautions=said_by_ways(joint.caution),
            notes=said_by_ways(joint.note),
            found=joint.found,
            unsure=once(joint.unsure),
            varies=varies_of(joint),
            face=joint.face and " ".join(joint.face.split()),
            settle=bool(joint.settle),
            fit=self._fit(joint.fit, Fastening(where, tool, seconds, tool)),
        )

    def _crack(self, joint: JointEntry, seconds: Fraction, path: Path) -> Crack | None:
        if joint.crack is None:
            return None
        own = seconds / 3 if joint.crack.time is None else joint.crack.time
        return Crack(once(joint.crack.while_), own, self.tree.place((*path, "crack"), key=True))

    def _fit(self, fit: FitEntry | None, undone: Fastening) -> Fastening | None:
        """The way back's own; what ``fit`` leaves out is as the joint came apart."""
        if fit is None:
            return None
        tool = undone.tool if fit.tool is None else self._tool(fit.tool)
        return Fastening(
            position=fit.from_ or undone.position,
            tool=tool,
            seconds=undone.seconds if fit.time is None else fit.time,
            socket=undone.tool if tool == HAND else tool,
        )

    def _torque(self, joint: JointEntry, path: Path) -> Torque | None:
        said, given = tightening(joint), joint.torque
        stages = stages_of(said)
        if not stages:
            return None
        where = next(said[key][0] for key in ("value", "stages") if key in said)
        prevailing = given.prevailing if given else None
        return Torque(
            stages=raised(stages, prevailing),
            place=self.tree.place((*path, *where[:1]), key=True),
            order=tuple(said["order"][1]) if "order" in said else (),
            again=given.again if given else None,
            when=tuple(dict.fromkeys(one[1:] for one in awaited(self.entry, given))),
            when_place=self.tree.place((*path, "torque", "when"), key=True) if given and given.when else None,
            position=given.from_ if given else None,
            prevailing=prevailing,
            seating=stages if prevailing else (),
            **{key: said[key][1] for key in ("pattern", "source", "override") if key in said},
        )
