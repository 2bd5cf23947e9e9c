"""A job on a machine made of assemblies: its copy needs no other file; finds go beside the include."""

from datetime import date

import pytest

from sequencer.job.changes.finds import Find
from sequencer.job.learning import learning
from sequencer.machine.reading import load
from tests.job.test_repeat import differing
from tests.machine.test_include import CAR, WHEEL
from tests.support.profile import before_landing

ON = date(2026, 11, 25)
OFF = ("rf-hub",)


@pytest.fixture
def origin(tmp_path):
    (tmp_path / "cars").mkdir()
    (tmp_path / "cars" / "wheel.yaml").write_text(WHEEL, "utf-8")
    path = tmp_path / "cars" / "car.yaml"
    path.write_text(CAR, "utf-8")
    return path


def test_the_copy_says_it_all_by_itself(at_work, origin):
    desk, file = at_work
    (origin.parent / "wheel.yaml").unlink()
    assert "include" not in file.read_text("utf-8").replace("included", "")
    assert file.read_text("utf-8").startswith(
        "# Written out from car.yaml, with these assemblies:\n#   rf: wheel.yaml"
    )
    assert list(desk.machine.parts)[:2] == ["shaft", "rf-wheel"]
    assert desk.plan().operations[-1].name == "remove rf-hub"


@before_landing
def test_what_is_found_and_learned_is_written_beside_the_include(at_work, origin):
    desk, _ = at_work
    before = load(origin)
    desk.found(Find("stay", {"blocks": ("rf-hub",)}, held=("bolt 10",)), ON)
    desk.correct("rf-wheel/bolts", {"head": "21"})
    offers = learning.offers(desk.moment(), "Ann", origin)
    words = learning.write(origin, offers)
    assert any("the assembly `wheel.yaml` stays as it is" in word for word in words)
    assert (origin.parent / "wheel.yaml").read_text("utf-8") == WHEEL
    after = load(origin)
    assert set(differing(before, after)) == {"stay", "rf-hub", "rf-wheel"}
    assert after.parts["rf-wheel"].joints["bolts"].head == "21"
    assert "stay" in [str(need) for need in after.parts["rf-hub"].under("behind")]
    assert learning.offers(desk.moment(), "Ann", origin) == ()
