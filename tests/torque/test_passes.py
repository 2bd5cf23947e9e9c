from sequencer.quantities import parse_stage
from sequencer.torque.tightening.bolt_order import bolt_order
from sequencer.torque.tightening.passes import tightening_passes


def passes(stages, order):
    return tightening_passes([parse_stage(stage) for stage in stages], order)


def said(found):
    return [(each.name, each.setting) for each in found]


def test_a_single_torque_on_a_flange_is_led_up_to_and_gone_round_once_more():
    # 30, 60, 100 % and a round in a circle: henniggasket.com how-to-bolt-flanges;
    # hswhite.com flange-bolt-torque-sequence;
    # piping-designer.com Bolt_Tightening_Procedure for 4 and 8 bolts.
    order = bolt_order(8, pattern="cross")
    found = passes(["50 N.m"], order)
    assert said(found) == [
        ("snug", "by hand, all seated"),
        ("part", "15 N.m"),
        ("part", "30 N.m"),
        ("full", "50 N.m"),
        ("last round", "50 N.m"),
    ]
    assert found[3].order == order.tighten
    assert found[4].order == ("1", "2", "3", "4", "5", "6", "7", "8")
    assert [each.generated for each in found] == [True, True, True, False, True]


def test_a_wheel_goes_snug_full_and_round():
    assert said(passes(["120 N.m"], bolt_order(5))) == [
        ("snug", "by hand, all seated"),
        ("full", "120 N.m"),
        ("last round", "120 N.m"),
    ]


def test_two_bolts_are_tightened_in_one_pass():
    assert said(passes(["10 N.m"], bolt_order(2))) == [("full", "10 N.m")]


def test_the_makers_stages_are_kept_and_nothing_follows_an_angle():
    found = passes(["20 N.m", "40 N.m", "90 deg"], bolt_order(10, pattern="spiral"))
    assert said(found) == [("stage 1", "20 N.m"), ("stage 2", "40 N.m"), ("angle", "90 deg")]
    assert found[2].degrees == 90
    assert not any(each.generated for each in found)


def test_after_torque_stages_a_head_is_gone_over_again_in_the_same_order():
    order = bolt_order(10, pattern="spiral")
    last = passes(["20 N.m", "40 N.m"], order)[-1]
    assert (last.name, last.setting, last.order) == ("last round", "40 N.m", order.tighten)


def test_part_torques_keep_the_unit_that_the_maker_wrote():
    settings = [each.setting for each in passes(["37 ft-lb"], bolt_order(8, pattern="cross"))]
    assert settings[1:4] == ["11.1 lbf.ft", "22 lbf.ft", "37 lbf.ft"]
