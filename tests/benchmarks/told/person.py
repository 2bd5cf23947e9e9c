"""A person at a machine: does what is possible, the nearest first, and says it in a short line each time.

Knows the machine as it is (its file), and uses of the program what any user has: did, torque, ask.
"""

import random
from dataclasses import dataclass, field

from sequencer.graph import derive
from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.targets import goals
from sequencer.machine.called import part_label

PLACED = {
    "under": "from below", "left": "from the left side", "rear": "from the rear",
    "arch": "from the wheel arch", "cab": "from the cab", "beside": "from the right side",
}  # fmt: skip
"""How somebody says where they work, where it is not where they stand anyway."""

OFF = ("off", "off", "out", "lifts off", "removed", "came off", "off now")
ASIDE = ("moved aside", "aside", "swung aside", "hung aside")
NUMBERS = {1: "one", 2: "two", 3: "three", 4: "four"}


@dataclass
class Act:
    """One thing that was done: the operations of the true machine, and the line that says it."""

    part: str
    ops: list[str]
    line: str = ""
    words: int = 0


@dataclass
class Person:
    """Takes a machine apart for its targets."""

    machine: object
    targets: tuple
    rng: random.Random
    reasons: float = 0.2
    """The share of lines that say what it was in the way of."""
    acts: list[Act] = field(default_factory=list)

    def __post_init__(self):
        self.whole = derive(self.machine)
        chosen = self.chosen()
        self.graph = self.whole.restricted(chosen)
        rules = rules_as_clauses(self.graph)
        self.needs = {name: (*self.graph.needs[name], *rules.get(name, ())) for name in self.graph.operations}

    # ---- What is done ----

    def chosen(self):
        """All that has to be done: of several ways in the one that is at hand, else the first."""
        wanted, found = [], {}
        for goal in goals(self.whole, self.targets):
            wanted.append(goal.any_of[0])
        while wanted:
            name = wanted.pop()
            if name in found:
                continue
            found[name] = None
            own = self.whole.operations[name]
            for clause in self.whole.needs[name]:
                if any(one in found or one in wanted for one in clause.any_of):
                    continue
                near = [n for n in clause.any_of if self.whole.operations[n].position == own.position]
                wanted.append((near or list(clause.any_of))[0])
        return list(found)

    def strip(self):
        """The acts, in the order in which they are done."""
        left = dict.fromkeys(self.graph.operations)
        done, here = set(), next(iter(self.machine.positions))
        while left:
            best = min(
                self._options(left, done),
                key=lambda one: (not one[2], self._away(one[1], here), self._rank(one[0])),
            )
            owner, ops, _ = best
            for name in ops:
                done.add(name)
                del left[name]
            here = self.graph.operations[ops[-1]].position
            self.acts.append(Act(owner, ops))
        for act in self.acts:
            act.line = self._line(act)
            act.words = len(act.line.split())
        return self.acts

    def _options(self, left, done):
        """What can be done now: a thing, its operations in order, and whether that is all of it."""
        for owner, own in self._owners(left):
            ops, now = [], set(done)
            while True:
                free = [n for n in own if n not in ops and self._free(n, now)]
                if not free:
                    break
                ops.append(free[0])
                now.add(free[0])
            if ops:
                yield owner, ops, len(ops) == len(own)

    def _free(self, name, done):
        return all(not done.isdisjoint(clause.any_of) for clause in self.needs[name])

    def _owners(self, left):
        owners = {}
        for name in left:
            operation = self.graph.operations[name]
            owners.setdefault(operation.part or name, []).append(name)
        return owners.items()

    def _away(self, ops, here):
        return sum(self.graph.operations[name].position != here for name in ops[:1])

    def _rank(self, owner):
        names = list(self.machine.parts)
        return names.index(owner) if owner in names else -1

    # ---- What is said ----

    def _line(self, act):
        kind = act.ops[-1].partition(" ")[0]
        operation = self.graph.operations[act.ops[-1]]
        if operation.part is None:
            return self._besides(kind, operation)
        label = self._label(act.part)
        undone = [name for name in act.ops if name.startswith(("undo ", "slacken "))]
        joints = [self._joint(name) for name in undone]
        after = [self._waited_within(name, undone) for name in undone]
        told = self._joined([f"then {one}" if then else one for one, then in zip(joints, after, strict=True)])
        where = PLACED.get(operation.position, "")
        verbs = {"remove": OFF, "move-aside": ASIDE, "loosen": ("loosened", "slackened")}
        if kind in verbs:
            verb = self.rng.choice(verbs[kind])
            line = (
                self.rng.choice((f"{label} {verb}: {told}", f"{label} {verb}, {told}"))
                if told
                else f"{label} {verb}"
            )
        elif kind in ("slacken", "crack"):
            line = f"slackened {told or 'the bolts'} of the {label}"
        else:
            line = f"undid {told} of the {label}"
        line = f"{line}, {where}" if where else line
        weight = self.machine.parts[act.part].weight_kg
        if weight and kind == "remove":
            line += f", {weight:g} kg"
        if reason := self._reason(act):
            line += f"; it was in the way of the {reason}"
        return line

    def _label(self, part):
        label = part_label(self.machine.parts[part]).lower()
        return f"the {label}" if self.rng.random() < 0.0 else label

    def _joint(self, name):
        path = name.partition(" ")[2]
        joint = self.machine.joint(*path.split("/"))
        kind = {"clamp": "hose clamp", "fit": "press fit"}.get(joint.kind, joint.kind)
        many = joint.count > 1
        count = NUMBERS.get(joint.count, joint.count) if self.rng.random() < 0.3 else joint.count
        word = f"{kind}{'es' if kind.endswith('s') else 's'}" if many else kind
        return f"{count} {word} {joint.head}" if joint.head else f"{count} {word}"

    def _joined(self, joints):
        short = len(joints) < 3 and not any(one.startswith("then ") for one in joints)
        return " and ".join(joints) if short else ", ".join(joints)

    def _waited_within(self, name, undone):
        """Whether a joint could only be undone after one that was undone before it for the same part."""
        before = set(undone[: undone.index(name)])
        return any(set(clause.any_of) <= before for clause in self.needs[name])

    def _reason(self, act):
        if self.rng.random() >= self.reasons:
            return ""
        waiting = [
            other.part
            for other in self.acts[self.acts.index(act) + 1 :]
            if other.part in self.machine.parts and self.waited([act], [other])
        ]
        return self._label(waiting[0]) if waiting else ""

    def _besides(self, kind, operation):
        if kind == "drain":
            fluid = self.machine.fluids[operation.subject]
            where = PLACED.get(operation.position, "")
            return " ".join(filter(None, (f"{(fluid.label or fluid.name).lower()} drained", where)))
        task = self.machine.tasks[operation.subject]
        return (task.label or task.name).split(";")[0].split(",")[0].lower()

    # ---- What is true ----

    def waited(self, first, then, unsaid=()):
        """Whether anything of the acts ``then`` waited for ``first``, also by way of those ``unsaid``."""
        before = {name for act in first for name in act.ops}
        between = {name: act for act in unsaid for name in act.ops}
        left = [name for act in then for name in act.ops if name not in before]
        seen = set(left)
        while left:
            asked = {one for clause in self.needs[left.pop()] for one in clause.any_of}
            if asked & before:
                return True
            more = [op for one in asked if one in between for op in between[one].ops if op not in seen]
            seen.update(more)
            left += more
        return False

    def figures(self):
        """The torques that the person knows: ways to say the joint, and the figure."""
        for act in self.acts:
            for name in act.ops:
                if name.startswith("undo "):
                    joint = self.machine.joint(*name.partition(" ")[2].split("/"))
                    if joint.torque:
                        yield name.partition(" ")[2], tuple(self._called(act.part, name)), joint.torque

    def due(self, torque):
        """What the person knows to be back before a torque, as they call it; of the tasks that they did."""
        done = {act.ops[-1]: act for act in self.acts}
        return tuple(
            self._besides("task", self.graph.operations[op])
            for _, name in torque.when
            if (op := f"task {name}") in done
        )

    def _called(self, part, name):
        """What the person calls a joint: its part and kind, or the size and number of them of that part."""
        joint = self.machine.joint(*name.partition(" ")[2].split("/"))
        label, told = self._label(part), self._joint(name)
        kind = told.removesuffix(f" {joint.head}").partition(" ")[2] if joint.head else told.partition(" ")[2]
        yield f"{label} {kind}"
        yield f"{joint.count} {kind} {joint.head or ''}".strip() + f" of the {label}"
