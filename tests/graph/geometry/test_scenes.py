"""Scenes of boxes by chance: no blocker missed and none false, against an independent sweep."""

import random

from sequencer.graph.geometry import see
from sequencer.graph.geometry.solids import solids
from sequencer.machine import read_text
from tests.support.profile import counts
from tests.support.scene_oracle import leaves, reached, scene, shut, written


def relations(machine):
    """For each part, and each bolt: what has to be off, one of each."""
    found = {}
    for seen in see(machine, solids(machine)):
        assert all(str(atom) == atom.part for atom in seen.any_of)  # here nothing is aside
        found.setdefault((seen.part, seen.move), []).append({atom.part for atom in seen.any_of})
    return found


def test_what_is_told_to_be_in_the_way_is_in_the_way_and_nothing_else():
    """With some others gone, a part leaves and its bolt is reached just where all that is told is gone."""
    barred = free = 0
    for number in range(counts(quick=8, landing=40, nightly=500)):
        things = scene(number, 4 + number % 4)
        told = relations(read_text(written(things), f"{number}.yaml").machine)
        rng = random.Random(number)
        for one in things:
            if shut(one):  # whatever else is gone: so nothing else is told to go
                assert (one.name, "undo") not in told
            others = [other for other in things if other is not one]
            gone = [{other.name} for other in others] + [set(), {other.name for other in others}]
            gone += [{other.name for other in others if rng.random() < 0.5} for _ in range(4)]
            for some in gone:
                left = [other for other in others if other.name not in some]
                for move, truth in (("off", leaves(one, left, others)), ("undo", reached(one, left))):
                    if move == "undo" and shut(one):
                        continue
                    says = all(clause & some for clause in told.get((one.name, move), []))
                    assert says == truth, (number, one.name, move, sorted(some))
                    free, barred = free + truth, barred + (not truth)
    assert min(free, barred) > counts(quick=100, landing=500, nightly=2_000)
