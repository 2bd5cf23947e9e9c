"""A job as a ribbon: every step in its station, what is done and next, gates, cures, sittings, people."""

from dataclasses import replace
from datetime import timedelta

from sequencer.document.barring.things import Stage
from sequencer.document.jobs.ribbon import ribbon_of
from sequencer.document.steps.cards import refit_cards
from sequencer.job.desk import Desk
from sequencer.job.work.curing import cures, local_time
from tests.job.conftest import ANN, BO, begin_job
from tests.job.test_curing import NOON, PAN, Bench


def stations(way):
    return [one for run in way.runs for one in run.stations]


def test_stations_stand_by_place_and_say_how_far_they_are(desk):
    plan = desk.plan()
    desk.done("1-5")
    (way,) = ribbon_of(desk.moment())
    found, last = stations(way), [station.steps[-1].number for station in plan.stations]
    assert [one.code for one in found] == [f"A{number}" for number in last]
    done = [one.stage is Stage.AWAY for one in found]
    assert done == [number <= 5 for number in last]
    (following,) = [one for one in found if one.stage is Stage.NEXT]
    assert following is found[sum(done)]
    assert following.op == desk.plan().steps[0].operation.name
    assert (*way.past, *way.present, *way.ahead) == way.runs
    assert following in way.present[0].stations
    assert all(one.stage is Stage.AWAY for run in way.past for one in run.stations)
    places = [plan.machine.positions[station.position].label for station in plan.stations]
    assert [run.where for run in way.runs for _ in run.stations] == places
    assert all(one.where != other.where for one, other in zip(way.runs, way.runs[1:], strict=False))
    assert {run.sitting for run in way.runs} == {""}
    assert {one.who for one in found} == {""}, "there is one person"


def test_who_did_it_is_said_where_several_people_work(desk):
    desk.done("1")
    desk.done("2", by=BO)
    (way,) = ribbon_of(desk.moment())
    assert [one.who for one in stations(way)][:2] == ["Ann", "Bo"]


def test_sittings_begin_where_work_stopped_and_where_it_will(tmp_path):
    folder = begin_job(tmp_path / "job", sittings=(20,))
    with Desk(folder, ANN) as desk:
        by = [replace(ANN, time=NOON + timedelta(hours=hour)) for hour in range(5)]
        desk.done("1-3", by=by[0])
        desk.stop("home", by=by[1])
        desk.done("4", by=by[3])
        heads = [run.sitting for run in ribbon_of(desk.moment())[0].runs if run.sitting]
    assert heads[:2] == ["Sitting 1", "Sitting 2"]
    assert heads == [f"Sitting {number}" for number in range(1, len(heads) + 1)]


def test_gates_and_cures_of_the_way_back(tmp_path):
    file = tmp_path / "pan.yaml"
    file.write_text(PAN, encoding="utf-8")
    bench = Bench(begin_job(tmp_path / "job", machine=file, off=("pan",)))
    with bench.desk as desk:
        bench.turn()
        apart, back = ribbon_of(desk.moment(), bench.now)
        assert apart.done
        (gate,) = desk.plan().gates
        assert [one.gates for one in stations(back) if one.gates] == [(gate.step,)]
        assert [one.code for one in stations(back)] == [card.code for card in refit_cards(desk.plan())]
        bench.until("torque pan/bolts")
        bench.tick()
        _, back = ribbon_of(desk.moment(), bench.now)
        assert not any(one.gates for one in stations(back))
        assert [one.closed for one in stations(back) if one.closed] == [1]
        (cured,) = [one.cures for one in stations(back) if one.cures]
        late = ribbon_of(desk.moment(), bench.now + timedelta(hours=3))[1]
        assert not any(one.cures for one in stations(late))
        (cure,) = cures(desk.moment())
        assert cured == local_time(cure.until)
