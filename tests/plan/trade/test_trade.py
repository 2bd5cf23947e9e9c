"""What an experienced mechanic insists on, job by job, held against the plans of small invented machines.

The hard points are common practice. None is written in the files as an order: each follows from what holds,
serves, carries or closes what, and from the rules of good practice.
"""

import pytest

from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.trade.plans import JOBS, both_ways, spelt_out, ways
from tests.support.practice_checker import breaches_back
from tests.support.profile import before_landing, counts
from tests.support.refit_checker import check_refit

FEW = ("alternator", "bottom_bracket")
"""Machines that are tried at once."""


@before_landing
@pytest.mark.parametrize("job", counts(quick=FEW, landing=JOBS, nightly=JOBS))
def test_the_plans_are_proven_and_keep_every_rule(job):
    text, targets, way_in, back = both_ways(job)
    there, home = teardown_json(way_in), refit_json(back)
    assert way_in.proven
    assert back.proven
    assert there["not_kept"] == home["not_kept"] == []
    read = spelt_out(text)
    assert check_refit(read, targets, there, home) == []
    assert breaches_back(read, there, home) == []


def test_timing_belt():
    there, home = ways("timing_belt")
    # the crank bolt is broken loose while the bar holds the crank, and the bar is not left on
    assert there.runs("task hold-crank", "undo crank-pulley/bolt", "restore hold-crank")
    assert home.runs("task hold-crank", "torque crank-pulley/bolt", "restore hold-crank")
    # the pulley comes off in one go, the belt before it
    assert there.comes("remove aux-belt", "undo crank-pulley/bolt", "remove crank-pulley")
    # nobody works underneath while the engine hangs, and its mount is off no sooner than it has to be
    assert there.runs("task hang", "undo right-mount/arm")
    assert there.comes("drain coolant", "task hang")
    assert all(p != "under" for p in home.positions[: home.at("restore hang")])
    # the belt comes off only once all is locked at the mark
    assert there.comes("task lock", "undo timing-belt/tension", "remove timing-belt")
    # tensioned, the tensioner tight, then the locks out, then two turns, then the covers
    assert home.comes("fasten timing-belt/tension", "torque tensioner/nut", "restore lock", "task turn")
    assert home.comes("task turn", "fit lower-cover")
    assert home.comes("task turn", "fit upper-cover")
    # the wheel is cracked and torqued on the ground
    assert there.comes("task crack-wheel", "task raise", "undo wheel/bolts")
    assert home.comes("fasten wheel/bolts", "restore raise", "torque wheel/bolts")
    # water in before it runs, the cover on after
    assert home.comes(
        "torque water-pump/bolts", "fill coolant", "restore isolate", "task run", "fit engine-cover"
    )


@before_landing
def test_clutch():
    there, home = ways("clutch")
    # the oil is out before a shaft is drawn
    assert there.all_before("gear-oil", "undo left-shaft/spline")
    # a shaft hangs from nothing while somebody works elsewhere
    assert there.runs("undo right-shaft/flange", "remove right-shaft")
    assert home.runs("fit right-shaft", "fasten right-shaft/flange")
    # the gearbox is on its jack when its first bolt comes out, and everything under it is done by then
    assert there.comes("remove right-shaft", "task prop", "undo gearbox/lower")
    assert there.comes("task prop", "undo gearbox/upper")
    # bolts before dowels, so that it hangs on the dowels and not on a shaft
    assert there.comes("undo gearbox/lower", "undo gearbox/dowels", "remove gearbox", "restore prop")
    assert home.comes("fit gearbox", "fasten gearbox/dowels", "fasten gearbox/lower")
    # all round the housing in by hand before one is torqued, and in one go
    assert home.comes("fasten gearbox/lower", "fasten gearbox/upper", "torque gearbox/upper")
    assert home.runs("torque gearbox/upper", "torque gearbox/lower")
    # the cover: mandrel in before it is tightened, out once it is; the flywheel locked for both torques
    assert home.comes(
        "fasten cover/bolts", "task centre", "torque cover/bolts", "restore centre", "fit gearbox"
    )
    assert home.comes("task lock", "torque flywheel/bolts", "fit disc", "torque cover/bolts", "restore lock")
    assert there.comes("task centre", "undo cover/bolts", "remove cover", "remove disc")
    assert there.comes("task lock", "undo cover/bolts", "undo flywheel/bolts", "restore lock")
    # threadlocker on and straight to the torque
    assert set(home.between("seal flywheel/bolts", "torque flywheel/bolts")) <= {
        "fasten flywheel/bolts",
        "task lock",
    }
    # the hub nut and the wheel on the ground, oil in before it runs
    assert home.comes("restore raise", "torque hub-nut/nut")
    assert home.comes("restore raise", "torque wheel/bolts")
    assert home.comes("close gear-oil", "fill gear-oil", "restore isolate", "task try")


@before_landing
def test_the_cover_of_the_clutch_is_drawn_down_crosswise_in_rounds():
    _, _, _, back = both_ways("clutch")
    [gate] = [g for g in refit_json(back)["gates"] if g["joint"] == "cover/bolts"]
    rounds = [one["order"] for one in gate["passes"] if one["name"].startswith("stage")]
    assert rounds == 3 * [["1", "4", "2", "5", "3", "6"]]


@before_landing
def test_head_gasket():
    there, home = ways("head_gasket")
    # both fluids out before the head is touched, and the oil once more after it
    assert there.comes("drain coolant", "undo head/bolts")
    assert there.comes("drain oil", "undo head/bolts", "remove head", "drain oil again")
    # the pushrods out, the sling on directly before the bolts, off only when the head is on the bench
    assert there.runs("task sling", "undo head/bolts")
    assert there.comes("undo head/bolts", "undo head/dowels", "remove head", "restore sling")
    assert there.comes("remove pushrods", "task sling")
    # manifold and housing ride along: the pipe is off before the lift
    assert there.comes("undo exhaust-manifold/pipe", "remove head")
    assert "remove exhaust-manifold" not in there.steps
    # on its dowels first, then the bolts, then the torque at once
    assert home.comes("fit head", "fasten head/dowels", "fasten head/bolts")
    assert home.runs("fasten head/bolts", "torque head/bolts")
    assert home.comes("torque head/bolts", "fit rocker-shaft")
    # clearances before the cover, the plug closed with its torque before the oil goes in
    assert home.comes("torque rocker-shaft/nuts", "task adjust", "fit rocker-cover")
    assert home.comes("close oil", "fill oil", "task run")
    assert home.comes("fit oil-filter", "fill oil")
    # the bonnet stays off until it has run
    assert home.comes("fill coolant", "leak-check coolant", "restore isolate", "task run", "fit bonnet")


@before_landing
def test_wheel_bearing():
    there, home = ways("wheel_bearing")
    # hub nut and wheel bolts are cracked on the ground and torqued on the ground
    assert there.comes("task chock", "task crack-nuts", "task raise", "undo wheel/bolts", "undo hub-nut/nut")
    assert home.comes("restore raise", "torque hub-nut/nut")
    assert home.comes("fasten wheel/bolts", "restore raise", "torque wheel/bolts", "restore chock")
    # the caliper is tied up the moment it is free, with its hose on
    assert there.runs("undo caliper/bolts", "move-aside caliper")
    assert "undo caliper/hose" not in there.steps
    assert home.comes(
        "move-back caliper", "seal caliper/bolts", "fasten caliper/bolts", "torque caliper/bolts"
    )
    assert set(home.between("seal caliper/bolts", "torque caliper/bolts")) == {"fasten caliper/bolts"}
    # the knuckle is carried as its bolts come out, and nothing else is done meanwhile
    assert there.runs("task clear-arm", "undo knuckle/lower-ball") or there.runs(
        "task clear-arm", "undo knuckle/strut"
    )
    assert there.at("restore clear-arm") == there.at("remove knuckle") + 1
    # the ring before the bearing is driven out, and in again once it is pressed home
    assert there.comes("undo circlip/ring", "undo bearing/seat")
    assert home.comes("fasten bearing/seat", "fit circlip", "fasten circlip/ring", "fit hub")
    # what is fitted at the press is pressed at once
    assert home.runs("fit bearing", "fasten bearing/seat")
    assert home.runs("fit hub", "fasten hub/seat")
    # nobody leaves the arch with a joint of the knuckle or the caliper only snug
    left = home.at("restore raise")
    for joint in ("knuckle/strut", "knuckle/lower-ball", "track-rod/nut", "caliper/bolts"):
        assert home.at(f"torque {joint}") < left


def test_water_pump():
    there, home = ways("water_pump")
    # drained before a hose or the pump comes off
    assert there.comes("drain coolant", "undo bottom-hose/clamp")
    assert there.comes("drain coolant", "undo pump/long")
    # the pulley's bolts are cracked while the belt holds it, and out once the belt is off
    assert there.comes("crack pulley/bolts", "undo belt/tension", "remove belt", "undo pulley/bolts")
    assert home.comes("fasten pulley/bolts", "fit belt", "fasten belt/tension", "torque pulley/bolts")
    # the fan's nut with the strap on, and the fan in the hand as it comes loose
    assert there.runs("task hold-fan", "undo fan/nut", "restore hold-fan", "remove fan")
    assert home.runs("task hold-fan", "torque fan/nut", "restore hold-fan")
    # the pump comes away with its last bolts; on the bead, at once and as one flange
    assert there.at("remove pump") == 1 + max(there.at("undo pump/long"), there.at("undo pump/short"))
    assert home.at("torque pump/short") == home.at("torque pump/long") + 1
    assert max(home.at("fasten pump/long"), home.at("fasten pump/short")) < home.at("torque pump/long")
    assert set(home.between("seal pump", "torque pump/short")) <= {
        "fit pump",
        "fasten pump/long",
        "fasten pump/short",
        "torque pump/long",
    }
    # pressed cold before the tray closes over it, run warm before the belt's cover
    assert home.comes("fill coolant", "task press-test", "fit undertray")
    assert home.comes("fasten belt/tension", "task run", "fit belt-cover")


@before_landing
def test_washing_machine():
    there, home = ways("washing_machine")
    # plug and tap before anything, the water out before it is laid on its face
    assert there.steps[0] == "task isolate"
    assert there.comes("drain water", "undo sump-hose/clamp")
    # the pulley's bolt is cracked with the drum blocked and the belt on, and out with the belt off
    assert there.runs("task block-drum", "crack pulley/bolt", "restore block-drum")
    assert there.comes("crack pulley/bolt", "remove belt", "undo pulley/bolt")
    assert home.comes("fasten pulley/bolt", "fit belt", "task block-drum", "torque pulley/bolt")
    # weights and motor come away with their last bolt, and are bolted the moment they are in place
    for part in ("top-weight", "front-weight", "motor"):
        assert there.runs(f"undo {part}/bolts", f"remove {part}")
        assert home.runs(f"fit {part}", f"fasten {part}/bolts")
    # nothing is tipped with the tub on its crate or a weight loose
    assert there.comes("remove dampers", "task crate")
    assert home.comes("restore crate", "fit sump-hose")
    assert home.comes("torque top-weight/bolts", "fit dampers")
    # the crate goes under directly before the springs are unhooked
    assert there.runs("task crate", "undo tub/springs", "remove tub", "restore crate")
    # bearings in before the seal over them; each pressed home before the next
    assert home.runs(
        "fit outer-bearing", "fasten outer-bearing/seat", "fit inner-bearing", "fasten inner-bearing/seat"
    )
    assert home.comes("fasten inner-bearing/seat", "fasten shaft-seal/seat", "fit rear-half")
    # rinsed and looked at before the panel closes it
    assert home.comes("restore tap", "restore isolate", "task rinse", "fit rear-panel", "restore pull-out")


def test_bottom_bracket():
    there, home = ways("bottom_bracket")
    # both bolts are broken loose while something holds the cranks
    for side in ("right", "left"):
        assert there.comes("task hold", f"undo {side}-crank/bolt", "restore hold")
        assert home.comes("task hold", f"torque {side}-crank/bolt", "restore hold")
        # the bolt is out before the puller goes in, and the crank comes away with it
        assert there.comes(f"undo {side}-crank/bolt", f"undo {side}-crank/taper")
        assert there.runs(f"undo {side}-crank/taper", f"remove {side}-crank")
        # on the taper by hand before its bolt draws it on
        assert home.runs(f"fit {side}-crank", f"fasten {side}-crank/taper", f"fasten {side}-crank/bolt")
    # the free cup first; on the way back the fixed side home and tight before the free cup
    assert there.comes("remove left-cup", "undo cartridge/cup")
    assert home.runs("fasten cartridge/cup", "torque cartridge/cup")
    assert home.comes(
        "torque cartridge/cup", "fasten left-cup/thread", "torque left-cup/thread", "fit left-crank"
    )
    # the chain is off before the crank that it runs on, and on before the case
    assert there.comes("remove chain", "remove right-crank")
    assert home.comes("fasten chain/link", "task ride", "fit chain-case")


@before_landing
def test_outboard():
    there, home = ways("outboard")
    # nothing can fire before a hand is near the propeller
    assert there.comes("task isolate", "undo propeller/nut")
    # the propeller is blocked for its nut and for nothing else
    assert there.runs("task wedge", "undo propeller/nut", "restore wedge")
    assert home.runs("task wedge", "torque propeller/nut", "restore wedge")
    # in gear before the rod is parted and the leg drops
    assert there.comes("task gear", "undo shift-rod/clamp", "remove leg")
    # the leg hangs by its tube alone, in somebody's hands
    assert there.runs("undo leg/water-tube", "remove leg")
    assert there.comes("undo leg/bolts", "undo leg/water-tube")
    assert there.comes("undo leg/under-tab", "undo leg/water-tube")
    assert home.runs("fit leg", "fasten leg/water-tube")
    assert home.comes("fasten leg/water-tube", "fasten leg/bolts", "torque leg/bolts")
    # what sits under the tab is torqued before the tab closes it off
    assert home.comes("torque leg/under-tab", "fit trim-tab")
    # the pump: key, impeller, housing; the screws tight at once, wet with locker
    assert home.comes("fasten key/seat", "fit impeller", "fit housing")
    assert home.runs("seal housing/screws", "fasten housing/screws", "torque housing/screws")
    # first run in a tub, out of gear, before propeller and cowl
    assert home.comes("restore gear", "task flush", "fit cowl")
    assert home.comes("restore isolate", "task flush", "fit propeller")


@before_landing
def test_gearbox_seal():
    there, home = ways("gearbox_seal")
    # cracked on the ground, raised level, drained, and only then the shaft
    assert there.comes("task crack-nuts", "task raise", "drain gear-oil", "undo shaft/spline")
    # the arm is tied down the moment it is free
    assert there.runs("undo lower-arm/ball", "move-aside lower-arm")
    assert there.comes("undo lower-arm/pinch", "undo lower-arm/ball")
    assert home.comes("move-back lower-arm", "fasten lower-arm/ball", "fasten lower-arm/pinch")
    # the shaft comes away with the spline and goes in with it
    assert there.runs("undo shaft/spline", "remove shaft")
    assert home.runs("fit shaft", "fasten shaft/spline")
    assert there.comes("undo shaft/ring", "undo shaft/spline")
    # the seal is driven home before the shaft goes through it
    assert home.comes("fasten seal/lip", "fit shaft")
    # plug, oil, a look, and only then it runs
    assert home.comes(
        "fasten shaft/ring", "close gear-oil", "fill gear-oil", "leak-check gear-oil", "task try"
    )
    # nobody leaves the arch with the arm or the link only snug
    left = home.at("restore raise")
    assert home.at("torque lower-arm/pinch") < left
    assert home.at("torque link/nut") < left
    # hub nut and wheel on the ground
    assert home.comes("restore raise", "torque hub-nut/nut")
    assert home.comes("fasten wheel/bolts", "restore raise", "torque wheel/bolts")


def test_alternator():
    there, home = ways("alternator")
    # the battery is off before the charging lead is touched, and on again last of all that is fastened
    assert there.steps[0] == "task isolate"
    assert home.comes("torque alternator/main", "restore isolate", "task charge", "fit cover")
    # the pivot is cracked while the belt still holds it, and out when the belt is off
    assert there.comes(
        "crack alternator/pivot", "slacken alternator/adjuster", "loosen alternator", "remove belt"
    )
    assert there.comes("remove belt", "undo alternator/pivot")
    # it hangs by nothing while somebody lies underneath
    assert there.runs("undo alternator/adjuster", "remove alternator")
    assert home.runs("fit alternator", "fasten alternator/adjuster")
    # both bolts in before the belt, the belt set before the pivot is tight
    assert home.comes("fasten alternator/pivot", "fit belt", "seat alternator", "tighten alternator/adjuster")
    assert home.comes("torque alternator/adjuster", "torque alternator/pivot")
    # the pivot is tight before the tray closes it off, and nobody is under it after it is let down
    assert home.comes("torque alternator/pivot", "fit undertray", "restore raise")
    # the lead is torqued before anybody walks off
    assert home.at("torque alternator/main") < home.positions.index("under")
