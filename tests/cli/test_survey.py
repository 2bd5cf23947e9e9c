"""`sequencer survey`: a conversation through a pipe, its commands, leaving and going on."""

import io

import pytest

from sequencer.machine import load

BOX = ["Invented box", "4 screws T25", "at the bench", "nothing"]


@pytest.fixture
def talk(sequencer, monkeypatch, tmp_path):
    """Give lines to the survey of a file of its own; returns how it ended."""

    def talk(*lines, off=None):
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        return sequencer("survey", tmp_path / "box.yaml", *(["--off", off] if off else []))

    return talk


def test_a_box_is_described_shown_as_understood_and_written_with_how_to_go_on(talk, tmp_path):
    ran = talk(*BOX, off="lid")
    assert (ran.code, ran.err) == (0, "")
    assert "  = wanted off: Lid\n" in ran.out
    assert "What holds the lid?\n" in ran.out
    assert "> 4 screws T25\n  = held by 4 screws (T25 bit)\n" in ran.out
    assert f"  sequencer check {tmp_path}/box.yaml --plan\n" in ran.out
    assert f"  sequencer plan {tmp_path}/box.yaml --off lid\n" in ran.out
    assert load(tmp_path / "box.yaml").parts["lid"].joints["screws"].count == 4


def test_what_it_says_to_go_on_with_works(talk, sequencer, tmp_path):
    talk(*BOX, off="lid")
    assert ": good: Invented box" in sequencer("check", tmp_path / "box.yaml").out
    assert sequencer("plan", tmp_path / "box.yaml", "--off", "lid").code == 0


def test_choices_are_taken_by_their_numbers_and_several_at_once(talk, tmp_path):
    ran = talk("Box", "1", "front", "strap, hook", "2 clips", "1", "1", "1", off="lid")
    assert "  = nothing holds it: it lifts off by hand\n" in ran.out
    assert ran.out.count("  = worked on from: front\n") == 2


def test_enter_alone_skips_what_has_a_usual_answer(talk, tmp_path):
    ran = talk("Box", "nothing", "front", "nothing", "", off="belt")
    assert "What is new afterwards at the belt?\n" in ran.out
    assert "(Enter: nothing)\n" in ran.out
    assert "  = nothing is renewed\n" in ran.out
    assert load(tmp_path / "box.yaml").parts["belt"].renew == ()


def test_the_end_of_the_input_keeps_all_and_says_how_to_resume(talk, tmp_path):
    ran = talk(*BOX[:2], off="lid")
    assert (ran.code, ran.err) == (0, "")
    assert f"Go on at any time with:\n  sequencer survey {tmp_path}/box.yaml\n" in ran.out
    assert not (tmp_path / "box.yaml").exists()
    again = talk(*BOX[2:])
    assert again.out.startswith("Going on with box.yaml: 3 answers so far.\n")
    assert "Written: " in again.out


def test_ctrl_c_leaves_like_the_end_of_the_input(talk, monkeypatch):
    def interrupt(prompt):
        raise KeyboardInterrupt

    monkeypatch.setattr("builtins.input", interrupt)
    ran = talk(off="lid")
    assert (ran.code, ran.err) == (0, "")
    assert "All is kept: 1 answer, " in ran.out


def test_nothing_answered_leaves_nothing_behind(talk, tmp_path):
    assert "Nothing was answered, nothing is kept." in talk("quit").out
    assert list(tmp_path.iterdir()) == []


def test_an_answer_that_is_not_understood_is_asked_again(talk):
    ran = talk("Box", "4", "  ", "4 screws T25", off="lid")
    assert "  ! `4` alone says too little" in ran.out
    assert ran.out.index("too little") < ran.out.index("= held by 4 screws")


def test_undo_takes_back_and_asks_that_question_again(talk, tmp_path):
    ran = talk("Box", "9 nails", "undo", *BOX[1:], off="lid")
    assert "  = taken back: 9 nails\n" in ran.out
    assert [one.count for one in load(tmp_path / "box.yaml").parts["lid"].joints.values()] == [4]


def test_numbers_of_choices_stand_beside_words(talk):
    ran = talk("Box", "2 clips", "front", "strap, hook", "1", "1", "2 and the peg", off="lid")
    assert "  = in its way: hook and peg; new, and asked about later: peg\n" in ran.out


def test_an_old_answer_is_mended_by_its_number_and_the_rest_is_kept(talk, tmp_path):
    ran = talk(
        "Box",
        "9 clips",
        "front",
        "change",
        "change 3",
        "4 screws T25",
        "change 4: at the bench",
        "nothing",
        off="lid",
    )
    assert "   3  What holds the lid? 9 clips\n" in ran.out
    assert "So far: 9 clips. Enter keeps it.\n> 4 screws T25\n  = held by 4 screws (T25 bit)\n" in ran.out
    assert "  = worked on from: at the bench\n" in ran.out
    assert [one.count for one in load(tmp_path / "box.yaml").parts["lid"].joints.values()] == [4]


@pytest.mark.parametrize("lines", [("change 9",), ("change", ""), ("change 3", "")])
def test_a_change_of_nothing_asks_on(talk, lines):
    ran = talk("Box", "4 clips", *lines, "at the bench", off="lid")
    assert ran.out.count("= held by 4 clips") == 1
    assert "= worked on from: at the bench" in ran.out


def test_open_questions_are_listed_and_another_one_taken_first(talk):
    ran = talk("?", "change 1: hood", "3", "from behind", "quit", off="lid")
    assert "! a number from 1" not in ran.out
    assert "   3  From where do you work at the lid?\n" in ran.out
    assert "  = worked on from: behind\n" in ran.out


def test_what_was_put_off_is_offered_at_the_end_and_may_stay_open(talk, tmp_path):
    ran = talk("Box", "later", *BOX[2:], "", off="lid")
    assert "All is answered but what you put off (1):\n" in ran.out
    assert "1 question left open, marked in it." in ran.out
    assert "# Not yet known:" in (tmp_path / "box.yaml").read_text("utf-8")
    assert "= held by 4 screws" in talk("1", BOX[1]).out


def test_the_commands_are_explained_and_the_file_can_be_seen_on_the_way(talk):
    ran = talk("Box", "help", "file", off="lid")
    assert ran.out.count("(one line for all of it") == 2
    assert "  undo   take back the last answer\n" in ran.out
    assert "    label: Lid\n" in ran.out


def test_another_part_than_the_survey_was_begun_for_is_refused(talk):
    talk("Box", off="lid")
    ran = talk(off="motor")
    assert ran.code == 2
    assert "was begun to get the Lid off" in ran.err
    assert talk("quit", off="LID").code == 0


def test_a_file_that_no_survey_wrote_is_left_alone(talk, tmp_path):
    (tmp_path / "box.yaml").write_text("machine: mine\n", "utf-8")
    ran = talk(off="lid")
    assert ran.code == 2
    assert "no survey wrote it" in ran.err
    assert (tmp_path / "box.yaml").read_text("utf-8") == "machine: mine\n"


def test_from_a_type_enter_alone_says_that_it_is_so_here(sequencer, monkeypatch, tmp_path):
    mine = tmp_path / "mine.yaml"
    monkeypatch.setattr("sys.stdin", io.StringIO("\n"))
    first = sequencer("survey", mine, "--like", "examples/bench-pump.yaml", "--off", "guard").out
    assert "Enter alone says: as in the type." in first
    assert "  = nothing else in the way\n" in first
    assert "Written: mine.yaml" in first
    assert "from_type:" in mine.read_text("utf-8")
    assert "Going on with mine.yaml: 1 answer so far." in sequencer("survey", mine).out
    other = sequencer("survey", mine, "--like", "delivery-van")
    assert (other.code, "was begun like" in other.err) == (2, True)
    alone = sequencer("survey", tmp_path / "new.yaml", "--job", "head-gasket")
    assert (alone.code, "add --like TYPE" in alone.err) == (2, True)
