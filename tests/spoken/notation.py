"""A reading as facts, to hold it against the meaning that a person gives the line, and the verdict on it."""

import re
from dataclasses import dataclass
from functools import cache
from itertools import product

from sequencer.quantities import AngleQuantity
from sequencer.spoken import Context, read
from sequencer.spoken.values import Act, Correction, Did, Same, ToldReason

ACTS = {
    Act.OFF: "off", Act.ASIDE: "aside", Act.LOOSE: "loose", Act.UNPLUGGED: "unplug", Act.UNDONE: "undo",
    Act.DRAINED: "drain", Act.BACK: "back",
    Act.TASK: "task", Act.TORQUE: "torque", Act.LEFT_OVER: "left", Act.NOTE: "note",
}  # fmt: skip
SOFT = ("mark", "tie", "renew", "note", "task")
"""Facts in the user's own words: compared by their words, not to the letter."""

LITTLE = frozenset(
    [
        "the",
        "a",
        "an",
        "it",
        "is",
        "was",
        "of",
        "and",
        "i",
        "to",
        "on",
        "in",
        "at",
        "with",
        "its",
        "that",
        "my",
        "so",
        "but",
        "then",
        "i've",
        "ive",
        "just",
        "now",
        "there",
        "this",
        "us",
    ]
)


@cache
def plain(text):
    return " ".join(re.findall(r"[\w./]+", text.casefold().replace("'", "")))


def joint_fact(joint):
    count = "?" if joint.count is None else joint.count
    family = "PH" if joint.family and ("phil" in joint.family or "cross" in joint.family) else joint.family
    facts = [
        str(count),
        joint.kind or "fastener",
        joint.head or family or "",
        joint.thread or "",
        f"long:{joint.length_mm}" if joint.length_mm else "",
        joint.property_class or "",
        joint.torque.shown_in() if joint.torque else "",
    ]
    return " ".join(one for one in facts if one)


def facts_of(line):
    found = []
    for one in line.said:
        if isinstance(one, Correction):
            found += [
                f"fix {change.what} {change.value.value if isinstance(change.value, Act) else change.value}"
                for change in one.changes
            ]
        elif isinstance(one, Same):
            side = f"side:{one.side}" if one.side else ""
            found.append(" ".join(p for p in ("same", plain(one.part.label) if one.part else "", side) if p))
            found += [f"note {plain(one.like.label)}"] if one.like else []
        else:
            found += did_facts(one)
    found += [f"note {one}" for one in line.notes]
    if line.question:
        about = {"correction": "fix"}.get(line.question.about, line.question.about)
        found.append(f"ask {about}")
    return found


def did_facts(did: Did):
    found = []
    act = ACTS[did.act.value]
    if act == "task":
        found.append(f"task {did.text}")
    elif act == "note":
        found += [f"note {did.part.label}"] if did.part else []
    elif did.part is not None or did.act.value is Act.LEFT_OVER:
        found.append(f"{act} {did.part.label}" if did.part else act)
    found += [joint_fact(one) for one in did.joints]
    found += [f"tool:{one.tool}" for one in did.joints if one.tool]
    found += [f"from {did.position.value}"] if did.position else []
    found += ["blocks room" if one is ToldReason.ROOM else f"blocks {one.label}" for one in did.way_of]
    found += [f"spilt {one.fluid.label}" + (f", {one.amount}" if one.amount else "") for one in did.spills]
    found += [f"{one.care.value} {one.text}" for one in did.remarks]
    found += [f"tool:{did.tool.value}"] if did.tool else []
    found += [f"weight {did.weight_kg.value:g}"] if did.weight_kg else []
    if did.figure and not any(one.torque for one in did.joints):
        found.append(
            " + ".join(s.text if isinstance(s, AngleQuantity) else s.shown_in() for s in did.figure.stages)
        )
    found += [f"source {did.figure.source}"] if did.figure and did.figure.source else []
    if did.before:
        found.append(f"before {did.before.part.label}" if did.before.part else "before last")
    return found


@cache
def sort(fact):
    """What a fact is about."""
    word = fact.split()[0]
    if word in SOFT:
        return word
    if word[:1].isdigit() or word == "?":
        return "joint" if re.match(r"(?:\?|\d+) [a-z]", fact) else "torque"
    if word in ACTS.values():
        return "act"
    return word.split(":")[0]


@cache
def norm(fact):
    return (
        plain(re.sub(r"[:+]", " ", fact)).replace("manual page", "manual p")
        if sort(fact) != "joint"
        else fact.casefold()
    )


@dataclass
class Verdict:
    word: str  # right, asked, wrong
    extra: list
    missing: list
    facts: list


VERDICTS = ("right", "asked", "wrong")

FIELDS = {
    "act": ("part", "act", "meaning"),
    "joint": ("part", "head", "count", "kind", "thread", "meaning"),
    "fix": ("fix",),
    "torque": ("torque",),
    "same": ("part", "meaning"),
    "blocks": ("meaning",),
    "spilt": ("meaning",),
    "from": ("meaning",),
    "tool": ("part", "meaning"),
}


def judge(entry):
    """The best verdict on what the line may mean: a ``|`` parts what a person may give it as well."""
    meant = [[way.strip() for way in re.split(r" \|(?: |$)", fact)] for fact in entry["means"]]
    facts = read_facts(entry)
    verdicts = (judged(facts, [one for one in means if one]) for means in product(*meant))
    return min(verdicts, key=lambda one: (VERDICTS.index(one.word), len(one.extra) + len(one.missing)))


def read_facts(entry):
    """What the line is read as, by what is known when it is said."""
    parts = {plain(one).replace(" ", "-"): one for one in entry.get("known", [])}
    last = None
    if "last" in entry:
        acts = read(entry["last"], Context(parts)).acts
        last = acts[-1] if acts else None
    return facts_of(read(entry["say"], Context(parts, last)))


def judged(facts, meant):
    """Right: each fact and no other. Asked: what differs is asked about, or kept as text. Wrong: all else."""
    means = [one.split(" tool:")[0] if sort(one) == "joint" else one for one in meant]
    means += [f"tool:{one.split(' tool:')[1]}" for one in meant if sort(one) == "joint" and " tool:" in one]
    hard = {norm(one): one for one in facts if sort(one) not in SOFT and sort(one) != "ask"}
    wanted = {norm(one): one for one in means if sort(one) not in SOFT and sort(one) != "ask"}
    extra = [
        one for key, one in hard.items() if key not in wanted and not part_of_a_joint(one, wanted.values())
    ]
    missing = [one for key, one in wanted.items() if key not in hard]
    kept = {word for one in facts if sort(one) in SOFT for word in plain(one).split()}
    soft_missing = [
        one for one in means if sort(one) in SOFT and not words_of(one) <= kept | words_of(" ".join(facts))
    ]
    soft_odd = soft_differs(facts, means)
    asked = {one.split()[1] for one in facts if sort(one) == "ask"}
    expected = {one.split()[1] for one in means if sort(one) == "ask"}
    if not extra and not missing and not soft_missing and not soft_odd and asked == expected:
        return Verdict("right", [], [], facts)
    # What is missing and stands in a note was kept, not lost.
    spare = kept - {word for one in [*means, *facts] if sort(one) not in SOFT for word in plain(one).split()}
    excused = all(covered(one, asked) for one in extra) and all(
        covered(one, asked) or spare or words_of(one) <= kept for one in [*missing, *soft_missing]
    )
    # What a person could not tell either is no guess where it stayed open; a needless question is only that.
    silent = expected - asked and not (missing or not extra)
    return Verdict(
        "asked" if excused and not silent else "wrong", extra, missing + soft_missing + soft_odd, facts
    )


def soft_differs(facts, means):
    """Marks, ties, renewals and tasks that one side has more of. A note more does no harm: it is said."""
    odd = []
    for sort_ in ("mark", "tie", "renew", "task"):
        ours = [one for one in facts if sort(one) == sort_]
        theirs = [one for one in means if sort(one) == sort_]
        if len(ours) != len(theirs):
            odd += ours or theirs
    return odd


def part_of_a_joint(fact, wanted):
    """A joint or a fluid of which less was read: what lacks has to be kept or asked."""
    more = {"joint": " ", "spilt": ","}.get(sort(fact))
    return more is not None and any(one.casefold().startswith(f"{fact.casefold()}{more}") for one in wanted)


def words_of(fact):
    return {word for word in plain(fact).split()[1:] if word not in LITTLE}


def covered(fact, asked):
    return bool(set(FIELDS.get(sort(fact), ())) & asked)
