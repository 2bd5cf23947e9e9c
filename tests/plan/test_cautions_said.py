"""A hazard that the file names itself is said in its words alone; a word in passing silences nothing."""

import pytest

from sequencer.plan.hazards import Hazard, hazards

IN_PASSING = [
    ("fuel", "Runs along the fire wall behind the fuel pipe."),
    ("fuel", "The fuel hose clips over the spark plug cable."),
    ("pit", "Leave the air line and the gas bottle at the top."),
    ("exhaust", "Use a cold chisel on the flange."),
    ("exhaust", "A hot-melt bead holds the shield."),
    ("coolant", "The air vent faces up; wait for the second plug."),
    ("coolant", "Wait until the glue has gone cold."),
    ("spring", "The spring clip faces left."),
    ("spring", "Finger-tight the spring bolt."),
    ("spring", "The hose of the compressor runs over the spring."),
    ("spring", "Torque the spring bolt under load."),
    ("lift-two", "Both dowels sit on the table side."),
    ("lift-two", "The mating face is soft: lay it on the table."),
    ("lift-hoist", "Take care of the crane's paint."),
    ("lift-hoist", "The hoist eye is used again."),
    ("airbag", "Wait with the bag of screws."),
    ("airbag", "The fire button sits left of the airbag."),
    ("raised", "Nobody can read the stand-off from below."),
    ("raised", "Stand clear below the fan."),
    ("jack", "The jack plug pulls out under the seat."),
    ("mains", "Isolate the water supply."),
    ("mains", "Pull the drain plug out."),
    ("battery", "Short screws at the terminal, long ones at the post."),
    ("hydraulics", "Mind the outer skin of the cylinder."),
    ("air", "The air vent stays on."),
    ("dust", "The dust cap goes back over the vacuum hose."),
    ("machinery", "Pull the drain plug out, the machine is dirty."),
    ("chemicals", "The glove box is in the way of the acid jar."),
    ("confined", "The air hose permits no bend."),
    ("refrigerant", "The pipe clip sits on the gas strut."),
    ("weight", "Weight of the bolts: nothing."),
    ("catch", "The door catch is in its way."),
    ("oil", "Hot glue on it."),
    ("gas", "The gas strut is shut in the lid."),
    ("brake-fluid", "The brake caliper has yellow paint."),
    ("injection", "The rail's outer skin is thin."),
    ("hv", "Low voltage plug: dead clip."),
    ("cable", "Tie the cable to the left lead."),
    ("lithium", "Short screws for the cell holder."),
    ("capacitor", "Charge the paint gun."),
    ("steam", "Cold start valve, boiler side."),
    ("gas-spring", "The prop shaft is below the strut."),
    ("asbestos", "Old gasket, brown."),
]

NAMED = [
    ("fuel", "Petrol: no naked flame near."),
    ("fuel", "Fuel vapour catches fire."),
    ("exhaust", "Let it go cold."),
    ("exhaust", "The exhaust burns for an hour after a run."),
    ("coolant", "Let it cool before the cock is opened."),
    ("coolant", "Coolant scalds."),
    ("spring", "The idler is sprung. Let it back slowly."),
    ("spring", "Under tension: the spring flies out."),
    ("lift-two", "22 kg: two people."),
    ("lift-hoist", "Heavy: take it on a crane."),
    ("raised", "Never on a jack alone."),
    ("raised", "On axle stands only."),
    ("mains", "Mains: unplug it first."),
    ("battery", "Battery: negative lead first."),
    ("airbag", "Battery off, then wait, before you touch the airbag."),
    ("catch", "Catch all of it."),
    ("dust", "Brake dust: wear a mask."),
    ("air", "Drain the tank: air at 8 bar. Let the pressure off."),
    ("hv", "High voltage kills."),
    ("gas", "Gas: shut off at the cylinder."),
    ("refrigerant", "The circuit stays closed: licensed people only."),
    ("machinery", "Unplug the machine first."),
    ("capacitor", "Discharge the capacitor."),
]


def hazard(name: str) -> Hazard:
    return next(one for one in hazards() if one.name == name)


@pytest.mark.parametrize(("name", "text"), IN_PASSING)
def test_a_word_in_passing_silences_no_hazard(name, text):
    assert not hazard(name).said_in([text])


@pytest.mark.parametrize(("name", "text"), NAMED)
def test_a_hazard_with_its_harm_or_what_to_do_is_said_in_the_file_s_words(name, text):
    assert hazard(name).said_in([text])


def test_every_hazard_needs_two_words_of_the_file_at_least():
    assert all(len(one.said) >= 2 for one in hazards())
