"""What a person at the invented delivery van says of the neighbourhood of its water pump: ten parts."""

from sequencer.machine.survey import DONT_KNOW

PUMP = {
    "What machine is it?": "Delivery van, invented",
    "What do you want off?": "water pump",
    "What holds the water pump?": "5 bolts 13 mm M8",
    "From where do you work at the water pump?": "in the wheel arch",
    "What is in the way of reaching the water pump?": "pump pulley, lower hose",
    "Does anything spill, or can anything hurt, at the water pump?": "coolant",
    "What holds the pump pulley?": "4 bolts 10 mm",
    "What is in the way of reaching the pump pulley?": "aux belt, belt guard; bolts: sensor lead aside",
    "What holds the lower hose?": "hose clamp, from under",
    "What is in the way of reaching the lower hose?": "undertray",
    "What holds the aux belt?": "nothing, it lifts off",
    "What is in the way of reaching the aux belt?": "tensioner loose, arch liner",
    "What holds the belt guard?": "3 x T25 screws",
    "What is in the way of reaching the belt guard?": "arch liner",
    "What holds the sensor lead?": "connector, clip",
    "What is in the way of reaching the sensor lead?": "nothing",
    "Which joints are undone to move aside the sensor lead?": "clip",
    "What holds the undertray?": "6 bolts 10 mm, 2 clips, all from under",
    "What is in the way of reaching the undertray?": "nothing",
    "What holds the tensioner?": "2 bolts 13 mm",
    "What is in the way of reaching the tensioner?": "arch liner",
    "Which joints are slackened to loosen the tensioner?": "all of them",
    "Does anything spill, or can anything hurt, at the tensioner?": "spring",
    "What holds the arch liner?": "7 clips",
    "What is in the way of reaching the arch liner?": "front wheel",
    "What holds the front wheel?": "5 bolts 19 mm",
    "What is in the way of reaching the front wheel?": "nothing",
    "Does anything spill, or can anything hurt, at the front wheel?": "raised, heavy 18 kg",
    "How is the coolant drained?": "from under, plug 13 mm, behind undertray, 7.5 L",
    "Is there a battery or a supply to cut off before everything else?": "yes",
    "Which tightening torques do you know from the maker's manual?": "water pump bolts 22 N.m",
}
"""Figures invented."""


def reply(question):
    """The answer to a question about the pump; where nothing was prepared, the first likely choice."""
    prepared = PUMP.get(question.text)
    return prepared or next((one for one in question.choices if one != DONT_KNOW), DONT_KNOW)
