"""The project's own text is plain: few turns of an older English, and short sentences."""

import re
from functools import cache
from statistics import mean

import pytest
from words import labels, plain
from words.one_word import DOUBLES, LABELS, seconds

KINDS = (plain.lessons, plain.pages, plain.docstrings, plain.comments, plain.messages)
MOST_WORDS = 20
MOST_TURNS = 2.0
"""Older turns in 1000 words."""


@cache
def texts_of(kind):
    """The texts of a kind, read once."""
    return tuple(kind())


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_older_turns_are_rare(kind):
    texts = texts_of(kind)
    found = {text.where: plain.archaic(text.words) for text in texts}
    turns, words = sum(map(len, found.values())), sum(plain.how_many(text.words) for text in texts)
    assert 1000.0 * turns / words <= MOST_TURNS, {where: said for where, said in found.items() if said}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_sentences_have_thirteen_words_on_average_at_most(kind):
    assert mean(length for text in texts_of(kind) for length in plain.lengths(text.words)) <= 13.0


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_no_sentence_has_more_than_twenty_words(kind):
    found = [(text.where, sentence) for text in texts_of(kind) for sentence in plain.sentences(text.words)]
    assert [one for one in found if plain.how_many(one[1]) > MOST_WORDS] == []


def test_words_below_a_constant_and_comments_are_read():
    below = {text.where: text.words for text in texts_of(plain.docstrings)}["barmath/planning/golden.py"]
    assert "Each leaves 0.618 of what is between" in below
    beside = {text.where: text.words for text in texts_of(plain.comments)}["barmath/planning/golden.py"]
    assert "Here the best place is often" in beside


def test_the_count_sees_each_older_turn_and_no_plain_sentence():
    older = [
        "You are told the rise.", "The die stands there.", "The tube lies in it.", "It stays bent.", "It falls out.",
        "There are 3 mm to spare.", "None where there is none.", "Leave it as it is.", "Wait, for the tube is hot.",
        "Whoever bends it.", "A bar whose ends are level.", "Use one's own hands.", "Measure it anew.",
        "A low bar wants a small bend.",
    ]  # fmt: skip
    assert [len(plain.archaic(words)) for words in older] == [1] * len(older)
    newer = (
        "Push the tube to its mark, for example 80 mm. Set the stop. Read the finder, then bend. The tube lies flat."
    )
    assert plain.archaic(newer) == []


def test_no_name_of_a_test_has_an_older_turn():
    files = [path.read_text(encoding="utf-8") for path in plain.TOP.glob("tests/**/test_*.py")]
    said = [name.replace("_", " ") for text in files for name in re.findall(r"^ *def (test_\w+)", text, re.MULTILINE)]
    assert len(said) > 1000
    assert [one for one in said if plain.archaic(one)] == []


def test_a_sentence_ends_at_its_stop_or_colon():
    assert plain.lengths("One two three four. Five six seven: eight nine ten.") == [4, 3, 3]


def test_every_word_of_a_label_is_in_the_glossary_or_an_everyday_word():
    known = labels.GLOSSARY | labels.PLAIN_WORDS
    found = {word: label for label in labels.labels() for word in labels.words_of(label.words) if word not in known}
    assert found == {}, "add the word to barmath/glossary/terms.py, or use one that is there"


def test_no_word_of_the_glossary_is_allowed_a_second_time():
    assert not labels.PLAIN_WORDS & labels.GLOSSARY


@pytest.mark.parametrize("name", DOUBLES)
def test_no_text_has_a_second_word_for_a_thing(name):
    double = DOUBLES[name]
    if double.held == LABELS:
        found = [label for label in labels.labels() if re.search(double.found, label.words, re.IGNORECASE)]
    else:
        found = [(text.where, hit) for kind in KINDS for text in texts_of(kind) for hit in seconds(text, double)]
    assert found == [], f"write {double.instead}"


def test_no_name_of_a_notebook_has_a_second_word_or_an_older_turn():
    names = [plain.Text(path.stem, path.stem.replace("_", " ")) for path in plain.TOP.glob("notebooks/**/*.ipynb")]
    assert len(names) > 15
    found = [(name.where, seconds(name, one)) for name in names for one in DOUBLES.values() if one.held != LABELS]
    assert [(where, hits) for where, hits in found if hits] == []
    assert [name.where for name in names if plain.archaic(name.words)] == []


@pytest.mark.parametrize("name", DOUBLES)
def test_each_second_word_is_found_where_it_is_held(name):
    double = DOUBLES[name]
    assert re.search(double.found, double.example, re.IGNORECASE)
    held = [text for kind in KINDS for text in texts_of(kind) if re.search(double.held, text.where)]
    assert held or double.held == LABELS


def test_the_word_itself_is_no_second_word():
    right = (
        "Roll the tube until the finder reads. Turn the bar in its stem: that is its stem roll. The order is order 7, "
        "and the sequence of bends is yours. Look at the screen, then check the bar. The grip is straight."
    )
    assert [
        name for name, double in DOUBLES.items() if not double.held and seconds(plain.Text("", right), double)
    ] == []


def test_the_labels_that_are_read_are_those_of_panels_and_sheets():
    found = {(label.where, label.words) for label in labels.labels()}
    assert {
        ("ordered_bar.py", "Backsweep"),
        ("order.py", "Sequence of bends"),
        ("bench_readings.py", "Gap under a riser"),
    } <= found
    assert ("check_sheet.py", "CHECK SHEET") in found
    assert len(found) > 200
