"""Lines put together by machine are read, whatever the part is called and however act and joints are put."""

from collections import Counter
from itertools import product
from random import Random

from tests.spoken.notation import judge
from tests.support.profile import counts

MOST_ASKED, MOST_WRONG = 0.08, 0.01

KNOWN = ["gearbox", "guard", "pulley", "manifold", "impeller", "bracket", "shroud", "hopper", "tray", "lever"]
NEW = ["dibber", "slubber", "heddle", "ewer", "muller", "doffer", "quern", "winnower", "teasel", "fettler"]
"""Things that no table of words has."""
BESIDE = ["cover", "plate", "housing", "holder"]

PUT = [
    "{the}{part} off{sep}{joint}",
    "{the}{part} came off{sep}{joint}",
    "{the}{part} has come off{sep}{joint}",
    "{the}{part}'s off{sep}{joint}",
    "took {the}{part} off{sep}{joint}",
    "ive got {the}{part} off{sep}{joint}",
    "have taken {the}{part} off{sep}{joint}",
    "whipped {the}{part} off{sep}{joint}",
    "removed {the}{part}{sep}{joint}",
    "{the}{part} removed{sep}{joint}",
    "{joint}{sep}took {the}{part} off",
]
JOINTS = {
    "4 bolts 13": "4 bolt 13",
    "four 13 mil bolts": "4 bolt 13",
    "bolts thirteen, four of them": "4 bolt 13",
    "4 bolts, all thirteens": "4 bolt 13",
    "three screws torx twenty": "3 screw T20",
    "3 T20 screws": "3 screw T20",
    "two 8 mil nuts": "2 nut 8",
    "6 screws, PH2": "6 screw PH2",
    "two jubilee clips": "2 clamp",
    "one plug": "1 connector",
}
BEFORE = ["", "", "right so ", "um ", "ok ", "now "]
BEHIND = {
    "": [],
    ", bit rusty": ["note bit rusty"],
    ", to get at the sump": ["blocks sump"],
    ", one was loose": ["note one was loose"],
}


def test_lines_made_by_machine_are_read_whatever_the_part_is_called():
    every = list(product(PUT, JOINTS, [*KNOWN, *NEW], ["", *BESIDE], [", ", " "], BEHIND))
    chance = Random(11)
    words = Counter()
    wrong = []
    for put, joint, noun, beside, sep, behind in chance.sample(
        every, counts(quick=24, landing=300, nightly=3000)
    ):
        part = f"{noun} {beside}".strip()
        line = put.format(the=chance.choice(["", "the "]), part=part, sep=sep, joint=joint)
        say = chance.choice(BEFORE) + line + behind
        verdict = judge({"say": say, "means": [f"off {part}", JOINTS[joint], *BEHIND[behind]]})
        words[verdict.word] += 1
        wrong += [say] if verdict.word == "wrong" else []
    assert words["asked"] <= 1 + MOST_ASKED * words.total(), words
    assert len(wrong) <= MOST_WRONG * words.total(), wrong
