"""Names from right to left leave the order of the sentence around them as it is."""

from sequencer.document.bidi import LEFT_TO_RIGHT, kept_apart

HEBREW = "\u05de\u05e0\u05d5\u05e2"


def test_a_run_from_right_to_left_ends_with_a_mark():
    assert kept_apart(f"{HEBREW}, 2 L") == f"{HEBREW}{LEFT_TO_RIGHT}, 2 L"
    assert kept_apart(f"{HEBREW}: {HEBREW}") == f"{HEBREW}{LEFT_TO_RIGHT}: {HEBREW}{LEFT_TO_RIGHT}"


def test_words_of_one_name_stay_one_run():
    assert kept_apart(f"{HEBREW} {HEBREW}") == f"{HEBREW} {HEBREW}{LEFT_TO_RIGHT}"


def test_other_scripts_are_left_alone():
    assert kept_apart("4 × bolt, größer") == "4 × bolt, größer"
