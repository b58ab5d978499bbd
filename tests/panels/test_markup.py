"""The pieces of HTML that panels show."""

from barmath.panels.markup import table


def test_a_long_number_may_wrap_only_after_a_comma_and_before_its_error():
    html = table([("Saw cut, the first", "68 deg off square, longer below", "104.94 ± 1.80")])
    assert html.count("<wbr>") == 2
    assert "square, <wbr>longer" in html
    assert "104.94 <wbr>± 1.80" in html


def test_words_among_numbers_may_wrap_and_a_number_may_not():
    html = table([("Angle at the joint", "30.0 deg, on the straight"), ("Cut length", "319.2 mm")])
    assert html.count("white-space: normal") == 1
    assert html.index("white-space: normal") < html.index("30.0 deg")
