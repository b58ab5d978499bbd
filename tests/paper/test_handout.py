"""A lesson on paper: a page of questions, a page of answers, and no answer on the first."""

import pytest

from barmath import BendError
from barmath.panels.teacher import TeacherPanel
from barmath.paper.handout import answer_pages, handout_pages, handout_pdf, question_pages
from barmath.practice.bets import answer_words, bet_names, bet_of, lessons_with_bets

ASKING = lessons_with_bets()


@pytest.mark.parametrize("lesson", ASKING)
@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_a_lesson_prints_as_questions_and_as_answers_apart(lesson, size):
    questions, answers = question_pages(lesson, size), answer_pages(lesson, size)
    words = [[text.get_text() for page in pages for text in page.axes.texts] for pages in (questions, answers)]
    for name in bet_names(lesson):
        assert answer_words(bet_of(lesson, name)).split()[-1] in " ".join(words[1])
        assert answer_words(bet_of(lesson, name)) not in words[0]
    for page in (*questions, *answers):
        *places, caution = sorted(text.get_position()[1] for text in page.axes.texts)
        assert places[-1] < caution - 1.0
        assert caution < page.height - 6.0
    assert len(handout_pages(lesson, size)) == len(questions) + len(answers) <= 8


def test_a_lesson_that_asks_nothing_has_no_handout():
    with pytest.raises(BendError, match="choose a lesson with questions, got lesson 11"):
        handout_pdf("11")


def test_the_teacher_prints_a_handout(tmp_path):
    panel = TeacherPanel(tmp_path, tmp_path / "sheets")
    panel.handout.write.click()
    assert (tmp_path / "sheets" / "handout.pdf").read_bytes().startswith(b"%PDF")
