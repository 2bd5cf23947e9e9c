import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.quantities import TORQUE_UNITS, QuantityError, parse_stage
from sequencer.render.data.torques.judged import judgement_data
from sequencer.torque.fasteners.preload import torque_nm
from sequencer.torque.fasteners.strength import proof_load_n, strength_of
from sequencer.torque.fasteners.threads import parse_thread
from sequencer.torque.guard import judging as guard
from sequencer.torque.guard.judgement import MAKER_FIRST, SINGLE_USE, TorqueVerdict
from sequencer.torque.guard.report import judgement_lines
from sequencer.torque.guard.use import FASTENER
from tests.support.profile import before_landing

SIZES = ("M5", "M6", "M8", "M10", "M12", "M14", "M16")
CLASSES = ("8.8", "10.9", "12.9")


def judge(stages, *words, **more):
    return guard.judge([parse_stage(stage) for stage in stages], *words, **more)


def warned(found):
    """Whether there is something to say of it."""
    return bool(found.remark or found.faults)


def usual_torque(size, property_class, k=0.2, share=0.75):
    """Torque in N·m at a share of proof load (Shigley: 75 % for joints that are taken apart again)."""
    thread = parse_thread(size)
    return torque_nm(share * proof_load_n(thread, strength_of(property_class, thread)), thread.diameter_mm, k)


def rows():
    for size, property_class in itertools.product(SIZES, CLASSES):
        pounds = usual_torque(size, property_class) / float(TORQUE_UNITS["lbf.in"])
        meant, as_feet, as_newton_metres = (
            judge([f"{pounds:.0f} {unit}"], size, property_class) for unit in ("lbf.in", "lbf.ft", "N.m")
        )
        yield size, property_class, f"{pounds:.0f} lbf.in", meant, as_feet, as_newton_metres


def test_over_the_whole_table_the_right_unit_is_usual_and_a_wrong_one_is_caught():
    table = list(rows())
    head = ("bolt", "75 % of proof, K 0.2", "as meant", "read as lbf.ft", "read as N.m")
    print("\n{:10}{:>22}  {:10}{:>16}{:>16}".format(*head))
    for size, property_class, text, meant, as_feet, as_nm in table:
        verdicts = (meant.verdict, as_feet.verdict, as_nm.verdict)
        print("{:10}{:>22}  {:10}{:>16}{:>16}".format(f"{size} {property_class}", text, *verdicts))
    assert len(table) == 21
    for *_, meant, as_feet, as_nm in table:
        assert meant.verdict is TorqueVerdict.USUAL
        assert not meant.is_error
        assert not warned(meant)
        for misread in (as_feet, as_nm):
            assert misread.is_error or warned(misread)
            assert misread.is_error, "twelve and nine times the torque is not a matter for a warning"
            assert misread.slip is not None
            assert misread.slip.meant == meant.torque.shown_in()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("property_class", CLASSES)
@pytest.mark.parametrize("friction", ["dry", "plated", "0.2", None])
def test_three_quarters_of_proof_is_usual_however_k_is_written(size, property_class, friction):
    torque = usual_torque(size, property_class)
    assert (
        judge([f"{torque:.4f} N.m"], size, property_class, friction=friction).verdict is TorqueVerdict.USUAL
    )


@before_landing
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("property_class", CLASSES)
@pytest.mark.parametrize(
    ("meant", "misread"),
    [
        ("N.m", "lbf.ft"),
        ("N.m", "lbf.in"),
        ("lbf.ft", "lbf.in"),
        ("kgf.m", "N.m"),
        ("N.m", "kgf.m"),
        ("kgf.cm", "N.m"),
    ],
)
def test_other_mix_ups_are_refused_or_warned_of_too(size, property_class, meant, misread):
    value = usual_torque(size, property_class) / float(TORQUE_UNITS[meant])
    found = judge([f"{value:.3f} {misread}"], size, property_class)
    assert found.is_error or warned(found)


@pytest.mark.parametrize(("share", "verdict"), [(0.89, TorqueVerdict.USUAL), (0.91, TorqueVerdict.HIGH)])
def test_high_begins_above_nine_tenths_of_proof(share, verdict):
    # Shigley's Mechanical Engineering Design, section 8-9: 90 % of proof for permanent joints.
    assert judge([f"{usual_torque('M8', '8.8', share=share):.3f} N.m"], "M8", "8.8").verdict is verdict


def test_the_refusal_names_bolt_size_of_the_error_and_likeliest_slip():
    found = judge(["89 lbf.ft"], "M6", "8.8")
    assert found.is_error
    assert found.message == "89 lbf.ft on M6 8.8 is 9 times its proof load; 89 lbf.in would be usual"
    assert "write 89 lbf.in if that is what it says" in found.remedy
    assert judge([found.slip.meant], "M6", "8.8").verdict is TorqueVerdict.USUAL


def test_a_slipped_decimal_point_is_named_where_no_unit_explains_the_number():
    found = judge(["890 lbf.in"], "M6", "8.8")
    assert found.is_error
    assert found.slip.meant == "89 lbf.in"
    assert not found.slip.unit


def test_where_no_reading_would_be_usual_none_is_made_up():
    found = judge(["5000 N.m"], "M6", "8.8")
    assert found.is_error
    assert found.slip is None
    assert "would be usual" not in found.message


def test_published_torques_are_usual():
    # engitoolbox.org: M10 8.8, 50 N·m. aionlinecalculator.com: M12 8.8, 82 N·m.
    assert judge(["50 N.m"], "M10", "8.8").verdict is TorqueVerdict.USUAL
    assert judge(["82 N.m"], "M12", "8.8").verdict is TorqueVerdict.USUAL
    # Shigley's example 8-3: 3750 lbf·in on 3/4-16 UNF, SAE 5. Solutions: 378 lbf·in on 3/8-24 UNF.
    assert judge(["3750 lbf.in"], "3/4-16 UNF", "SAE 5").verdict is TorqueVerdict.USUAL
    assert judge(["378 lbf.in"], "3/8-24 UNF", "grade 5", friction="oiled").verdict is TorqueVerdict.USUAL
    # VDI 2230 via mastik.pt page 685, friction coefficient 0.12: 90 % of Rp0.2 is the most that is asked for.
    assert judge(["26.1 N.m"], "M8x1", "8.8").verdict is TorqueVerdict.USUAL
    assert judge(["90 N.m"], "M12x1.25", "8.8").verdict is TorqueVerdict.USUAL


ORDER = [TorqueVerdict.LOOSE, TorqueVerdict.USUAL, TorqueVerdict.HIGH, TorqueVerdict.BEYOND_PROOF]


@given(
    st.sampled_from(SIZES),
    st.sampled_from(CLASSES),
    st.sampled_from([None, "dry", "oiled", "moly", "plated", "black"]),
    st.floats(0.01, 6),
    st.floats(1, 4),
)
def test_more_torque_is_never_judged_milder(size, property_class, friction, share, factor):
    torque = usual_torque(size, property_class, share=share)
    less, more = (
        judge([f"{value:.6f} N.m"], size, property_class, friction=friction).verdict
        for value in (torque, factor * torque)
    )
    assert ORDER.index(less) <= ORDER.index(more)


@given(
    st.sampled_from(SIZES), st.sampled_from(CLASSES), st.floats(0.05, 4), st.sampled_from(list(TORQUE_UNITS))
)
def test_the_verdict_does_not_hang_on_the_unit(size, property_class, share, unit):
    torque = usual_torque(size, property_class, share=share)
    in_newton_metres = judge([f"{torque:.6f} N.m"], size, property_class)
    other = judge([f"{torque / float(TORQUE_UNITS[unit]):.9f} {unit}"], size, property_class)
    assert other.preload.usual_share == pytest.approx(in_newton_metres.preload.usual_share, rel=1e-3)


@given(st.sampled_from(SIZES), st.sampled_from(CLASSES), st.floats(1.6, 50))
def test_beyond_proof_means_over_the_whole_range_and_high_means_not(size, property_class, share):
    found = judge([f"{usual_torque(size, property_class, share=share):.6f} N.m"], size, property_class)
    assert (found.preload.low_share > 1) is (found.verdict is TorqueVerdict.BEYOND_PROOF)


def test_high_and_loose_are_warnings_not_errors():
    for torque, verdict in (("40 N.m", TorqueVerdict.HIGH), ("3 N.m", TorqueVerdict.LOOSE)):
        found = judge([torque], "M8", "8.8")
        assert found.verdict is verdict
        assert warned(found)
        assert not found.is_error


def test_what_is_slippery_is_refused_sooner_than_what_is_rough():
    assert judge(["40 N.m"], "M8", "8.8", friction="moly").is_error
    assert not judge(["40 N.m"], "M8", "8.8", friction="black").is_error


def test_a_torque_to_yield_is_judged_on_its_snug_torque_and_not_used_twice():
    found = judge(["20 N.m", "90 deg", "90 deg"], "M10", "10.9")
    assert found.verdict is TorqueVerdict.USUAL
    assert found.torque.text == "20 N.m"
    assert found.single_use
    assert SINGLE_USE in found.cautions
    assert found.suggested is None
    assert "before its angle" in found.message
    assert judge(["20 lbf.in", "90 deg"], "M10", "10.9").verdict is TorqueVerdict.LOOSE
    assert judge(["200 lbf.ft", "90 deg"], "M10", "10.9").is_error


def test_a_torque_after_an_angle_is_not_what_is_judged():
    assert judge(["20 N.m", "90 deg", "200 N.m"], "M10", "10.9").torque.text == "20 N.m"


def test_of_several_torque_stages_the_highest_is_judged():
    assert judge(["10 N.m", "25 N.m", "20 N.m"], "M8", "8.8").torque.text == "25 N.m"


def test_without_thread_or_class_nothing_is_assumed():
    for thread, property_class, missing in (
        ("M8", None, "no class"),
        (None, "8.8", "no thread"),
        (None, None, "no thread and no class"),
    ):
        found = judge(["500 N.m"], thread, property_class)
        assert found.verdict is TorqueVerdict.NOT_JUDGED
        assert found.message == f"500 N.m is not judged: {missing} is given"
        assert not found.is_error
        assert not warned(found)
        assert found.suggested is None


def test_words_that_mean_nothing_are_told_and_the_rest_is_judged_all_the_same():
    found = judge(["89 lbf.ft"], "M6", "8.8", friction="oyled", engaged_in="cheese")
    assert found.is_error
    assert [problem for problem, _ in found.faults] == [
        "'oyled' is no friction that I know",
        "'cheese' is no material for a thread that I know",
    ]
    unread = judge(["10 N.m"], "M6", "8")
    assert unread.verdict is TorqueVerdict.NOT_JUDGED
    assert warned(unread)
    assert "grade 8 is SAE J429, for inch threads" in unread.message


@pytest.mark.parametrize("text", ["89", "89 psi", "-5 N.m", "0 N.m", ""])
def test_a_torque_without_a_unit_of_torque_is_refused_outright(text):
    with pytest.raises(QuantityError):
        judge([text], "M6", "8.8")


def test_an_override_lets_a_refused_torque_pass_with_its_reason_beside_it():
    found = judge(["60 N.m"], "M8", "8.8", override="Studs of a special steel, drawing 12")
    assert found.refused
    assert not found.is_error
    assert warned(found)
    assert "overridden: Studs of a special steel, drawing 12" in judgement_lines(found)
    assert found.remedy == "it stands, since the file says override: Studs of a special steel, drawing 12"
    assert not any(line.startswith("do:") for line in judgement_lines(found))
    assert judgement_data(found).plain()["override"] == "Studs of a special steel, drawing 12"


def test_too_short_a_thread_in_aluminium_would_strip_and_that_is_a_warning():
    found = judge(["25 N.m"], "M8", "8.8", engaged_in="aluminium", engagement="6 mm")
    assert found.verdict is TorqueVerdict.WOULD_STRIP
    assert warned(found)
    assert "too much for 6 mm of thread in aluminium, which needs 8.9 mm" in found.message
    long = judge(["25 N.m"], "M8", "8.8", engaged_in="aluminium", engagement="16 mm")
    assert long.verdict is TorqueVerdict.USUAL
    between = judge(["25 N.m"], "M8", "8.8", engaged_in="aluminium", engagement="10 mm")
    assert "10 mm of thread in aluminium is less than the trade's 1.5 diameters." in between.cautions
    unknown = judge(["25 N.m"], "M8", "8.8", engaged_in="aluminium")
    assert "In aluminium it needs 8.9 mm of thread at the least (1.1 diameters)." in unknown.cautions


def test_beyond_proof_goes_before_would_strip():
    found = judge(["100 N.m"], "M8", "8.8", engaged_in="aluminium", engagement="6 mm")
    assert found.is_error


def test_an_engagement_needs_to_know_in_what():
    found = judge(["25 N.m"], "M8", "8.8", engagement="6 mm")
    assert warned(found)
    assert "write engaged_in too" in found.faults[0][1]


def test_where_no_torque_is_given_the_computed_range_stands_in_with_its_mark():
    found = judge([], "M8", "8.8")
    assert found.verdict is TorqueVerdict.NOT_JUDGED
    assert "computed, not the maker's: 16.3 to 20.5 N.m" in judgement_lines(found)
    high = judge([f"{found.suggested.high_nm:.3f} N.m"], "M8", "8.8")
    low = judge([f"{found.suggested.low_nm:.3f} N.m"], "M8", "8.8")
    assert high.verdict is low.verdict is TorqueVerdict.USUAL


@given(
    st.sampled_from(SIZES),
    st.sampled_from(CLASSES),
    st.sampled_from([None, "dry", "oiled", "moly", "plated"]),
)
def test_a_computed_range_is_usual_from_end_to_end(size, property_class, friction):
    suggested = judge([], size, property_class, friction=friction).suggested
    for torque in (suggested.low_nm, suggested.high_nm):
        assert (
            judge([f"{torque:.6f} N.m"], size, property_class, friction=friction).verdict
            is TorqueVerdict.USUAL
        )


def test_the_makers_figure_is_put_first_on_every_screen_and_in_json():
    for found in (judge(["25 N.m"], "M8", "8.8"), judge(["25 N.m"]), judge([], "M8", "8.8")):
        assert judgement_lines(found)[-1] == MAKER_FIRST
        assert judgement_data(found).plain()["cautions"][-1] == MAKER_FIRST


def test_json_gives_each_torque_its_unit_and_each_share_as_a_number():
    data = judgement_data(judge(["25 N.m"], "M8", "8.8", engaged_in="aluminium")).plain()
    assert data["torque"] == {"text": "25 N.m", "value": 25.0, "unit": "N.m", "newton_metres": 25.0}
    assert data["preload"]["share_of_proof"]["usual"] == pytest.approx(0.736, abs=0.001)
    assert data["suggested"] == {"low": "16.3 N.m", "high": "20.5 N.m", "mark": "computed, not the maker's"}
    assert data["hole"]["needed_mm"] == pytest.approx(8.9, abs=0.05)


@pytest.mark.parametrize("share", [0.061, 0.059])
def test_a_snug_torque_before_an_angle_is_loose_below_a_tenth_of_proof_where_it_slips(share):
    # K of the unknown: 0.20, at its slippery end 0.12. A tenth of proof there is 6 % at the usual K.
    snug = f"{usual_torque('M10', '10.9', share=share):.4f} N.m"
    assert (judge([snug, "90 deg"], "M10", "10.9").verdict is TorqueVerdict.LOOSE) is (share < 0.06)
    assert judge([snug], "M10", "10.9").verdict is TorqueVerdict.LOOSE


@pytest.mark.parametrize("share", [0.151, 0.149])
def test_a_torque_is_loose_below_a_quarter_of_proof_where_it_slips(share):
    torque = f"{usual_torque('M8', '8.8', share=share):.4f} N.m"
    assert (judge([torque], "M8", "8.8").verdict is TorqueVerdict.LOOSE) is (share < 0.15)


def test_little_torque_on_what_gives_way_is_not_called_loose():
    # M8 8.8 at 10 N.m clamps a rubber mount: 29 % of proof.
    found = judge(["10 N.m"], "M8", "8.8")
    assert found.verdict is TorqueVerdict.USUAL
    assert found.slip is None


@before_landing
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("property_class", CLASSES)
def test_a_pound_unit_for_another_is_caught_over_the_whole_usual_range(size, property_class):
    units = (("N.m", "lbf.in"), ("lbf.ft", "lbf.in"), ("lbf.in", "lbf.ft"), ("lbf.in", "N.m"))
    for share, friction in itertools.product((0.5, 0.6, 0.75, 0.9), (None, "dry", "oiled", "moly")):
        torque = usual_torque(size, property_class, share=share)
        for meant, written in units:
            value = torque / float(TORQUE_UNITS[meant])
            found = judge([f"{value:.3f} {written}"], size, property_class, friction=friction)
            assert found.is_error or warned(found), (share, friction, meant, written)


def test_units_that_people_mix_up_go_before_nearness():
    # 106 kgf.cm on M6 8.8 is 74 % of proof, and 106 lbf.in 86 %; but nobody takes lbf.ft for kgf.cm.
    assert judge(["106 ft-lb"], "M6", "8.8").slip.meant == "106 lbf.in"
    assert judge(["106 N.m"], "M6", "8.8").slip.meant == "106 lbf.in"
    assert judge(["1.05 N.m"], "M6", "8.8").slip.meant == "1.05 kgf.m"


PLUG, UNION, BANJO, CLAMP = (
    kind_of_joint(word).use for word in ("drain plug", "flare nut", "banjo bolt", "hose clamp")
)


@pytest.mark.parametrize(
    ("use", "thread", "property_class", "figure"),
    [
        # Common practice: drain plug 25 to 40 N.m, spark plug 20 to 30, banjo 20 to 30, flare nut 14.
        (PLUG, "M14x1.5", "8.8", "30 N.m"),
        (PLUG, "M14x1.25", None, "25 N.m"),
        (BANJO, "M10x1", "8.8", "25 N.m"),
        (UNION, "M10x1", "8.8", "14 N.m"),
        (CLAMP, None, None, "4 N.m"),
        (PLUG, "G 1/4", None, "30 N.m"),
        (FASTENER, "1/8-27 NPT", None, "15 N.m"),
    ],
)
def test_what_seals_has_no_computed_range_and_no_right_value_is_doubted(use, thread, property_class, figure):
    bare, told = (judge(stages, thread, property_class, use=use) for stages in ([], [figure]))
    for found in (bare, told):
        assert (found.verdict, found.suggested, found.slip) == (TorqueVerdict.NOT_JUDGED, None, None)
        assert not warned(found)
    assert "no figure in the file; take the maker's" in bare.message


@pytest.mark.parametrize(
    ("stages", "thread", "use", "verdict"),
    [
        (["300 N.m"], "M14x1.5", PLUG, TorqueVerdict.BEYOND_PROOF),
        (["250 N.m"], "M10x1", BANJO, TorqueVerdict.BEYOND_PROOF),
        (["300 N.m"], None, PLUG, TorqueVerdict.HIGH),
        (["30 N.m"], None, CLAMP, TorqueVerdict.HIGH),
    ],
)
def test_what_a_seal_can_not_bear_is_refused_and_far_too_much_is_high(stages, thread, use, verdict):
    assert judge(stages, thread, use=use).verdict is verdict


@pytest.mark.parametrize(
    "stages",
    [
        ["900 deg"],
        ["90 turn"],
        ["40 N.m", "90 deg", "400 N.m"],
        ["20 N.m", "400 deg"],
        ["40 N.m", "90 deg", "120 N.m"],
    ],
)
def test_stages_that_no_fastener_bears_are_refused_unless_a_reason_is_given(stages):
    found = judge(stages)
    assert found.verdict is TorqueVerdict.IMPOSSIBLE
    assert found.is_error
    assert not judge(stages, override="the maker prints it so").is_error


@pytest.mark.parametrize(
    ("stages", "says"),
    [
        (["40 N.m", "20 N.m"], "the stages fall, from 40 N.m to 20 N.m"),
        (["90 deg"], "90 deg comes first, with no torque before it"),
        (["90 deg", "40 N.m"], "90 deg comes first"),
        (["40 N.m", "90 deg", "60 N.m"], "60 N.m comes after an angle"),
        (["40 N.m", "300 deg"], "300 deg is 0.833333 turns in one stage, which is much"),
    ],
)
def test_odd_stages_are_warned_of_and_told_at_the_gate(stages, says):
    found = judge(stages)
    assert not found.is_error
    assert warned(found)
    assert says in "; ".join(problem for problem, _ in found.odd)
    assert says in found.remark
    assert any(says in line for line in judgement_lines(found))


def test_an_angle_alone_is_usual_on_what_seals_by_hand_tight_and_a_turn():
    assert judge(["3/4 turn"], use=PLUG).odd == ()


def test_a_torque_after_an_angle_that_no_bolt_bears_is_refused():
    found = judge(["20 N.m", "90 deg", "55 N.m"], "M8", "8.8")
    assert found.is_error
    assert "55 N.m on M8 8.8 is 162% of its proof load" in found.message


def test_stainless_bolts_and_nuts_are_judged():
    # A2-70 on M8: 36.6 mm² at 450 MPa, 16.5 kN; 60 N.m at K 0.2 pull 37.5 kN.
    assert judge(["17 N.m"], "M8", "A2-70").verdict is TorqueVerdict.USUAL
    assert judge(["60 N.m"], "M8", "A2-70").is_error
    assert any("seize" in caution for caution in judge(["17 N.m"], "M8", "A2-70").cautions)
    nut = kind_of_joint("nut").use
    assert judge(["25 N.m"], "M8", "8", use=nut).verdict is TorqueVerdict.USUAL
    assert judge(["250 N.m"], "M8", "8", use=nut).is_error


def test_a_left_hand_thread_is_judged_and_said():
    found = judge(["500 N.m"], "M10 LH", "8.8")
    assert found.is_error
    assert "Left-hand thread: it tightens anticlockwise." in found.cautions


def test_in_plastic_the_hole_says_how_tight():
    right, wrong = (judge([torque], "M6", "8.8", engaged_in="plastic") for torque in ("2 N.m", "10 N.m"))
    assert right.verdict is TorqueVerdict.USUAL
    assert wrong.verdict is TorqueVerdict.WOULD_STRIP
    assert "15 mm of thread (as much as the trade asks for) in plastic" in wrong.message
    assert judge([], "M6", "8.8", engaged_in="plastic").suggested is None
    assert judge([], "M6", "8.8", engaged_in="plastic", engagement="12 mm").suggested.high_nm < 4


def test_an_insert_is_judged_by_the_thread_that_holds_it():
    assert (
        judge(["25 N.m"], "M8", "8.8", engaged_in="insert", engagement="6 mm").verdict
        is TorqueVerdict.WOULD_STRIP
    )
    assert (
        judge(["25 N.m"], "M8", "8.8", engaged_in="insert", engagement="12 mm").verdict is TorqueVerdict.USUAL
    )


def test_a_high_torque_with_a_reason_is_told_to_stand_and_not_to_be_checked():
    found = judge(["40 N.m"], "M8", "8.8", override="the maker prints it so")
    assert found.verdict is TorqueVerdict.HIGH
    assert found.remedy == "it stands, since the file says override: the maker prints it so"
    assert not any(line.startswith("do:") for line in judgement_lines(found))
