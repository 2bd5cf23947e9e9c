"""Where the work was done from is one place whatever its words, and a named tool has its size."""


def test_places_that_mean_the_same_are_one_place_of_the_file(desk):
    desk.did("bracket off: 2 snap rings, circlip pliers, from behind the engine")
    desk.did("cover off, nut 13 mm spanner, from the back of the engine")
    machine = desk.machine
    assert {machine.parts[one].position for one in ("bracket", "cover")} == {"behind-the-engine"}
    tools = [
        machine.tools[joint.tool].label for part in machine.parts.values() for joint in part.joints.values()
    ]
    assert tools == ["Circlip pliers", "13 mm spanner"]


def test_how_many_is_answered_in_words_too(desk):
    desk.did("lid off, bolts 10")
    desk.answer("half a dozen")
    assert desk.machine.parts["lid"].joints["bolts"].count == 6
