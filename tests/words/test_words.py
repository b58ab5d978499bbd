"""The project's own text is plain: few turns of an older English, and short sentences."""

from statistics import mean

import pytest
from words import plain

KINDS = (plain.lessons, plain.pages, plain.docstrings, plain.messages)
MOST_TURNS = 2.0
"""Older turns in 1000 words."""


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_older_turns_are_rare(kind):
    texts = list(kind())
    found = {text.where: plain.archaic(text.words) for text in texts}
    turns, words = sum(map(len, found.values())), sum(plain.how_many(text.words) for text in texts)
    assert 1000.0 * turns / words <= MOST_TURNS, {where: said for where, said in found.items() if said}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_sentences_have_thirteen_words_on_average_at_most(kind):
    assert mean(length for text in kind() for length in plain.lengths(text.words)) <= 13.0


def test_the_count_sees_each_older_turn_and_no_plain_sentence():
    older = [
        "You are told the rise.", "The die stands there.", "The tube lies in it.", "It stays bent.", "It falls out.",
        "There are 3 mm to spare.", "None where there is none.", "Leave it as it is.", "Wait, for the tube is hot.",
        "Whoever bends it.",
    ]  # fmt: skip
    assert [len(plain.archaic(words)) for words in older] == [1] * len(older)
    newer = (
        "Push the tube to its mark, for example 80 mm. Set the stop. Read the finder, then bend. The tube lies flat."
    )
    assert plain.archaic(newer) == []


def test_a_sentence_ends_at_its_stop_or_colon():
    assert plain.lengths("One two three four. Five six seven: eight nine ten.") == [4, 3, 3]
