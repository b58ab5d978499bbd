"""Each line of the demo files, also those to take the # away from, broken in turn: the refusal names just that line."""

import re

import pytest
from conftest import ROOT

from barmath import BendError
from barmath.shop.bender import MEASURES
from barmath.shop.orders import orders_from_toml
from barmath.shop.shop_file import shop_from_toml

READ = {"shop.toml": shop_from_toml, "orders.toml": orders_from_toml}
OFFERED = re.compile(r'# (\[+\w+\]+|\w+ = (?:".*"|[\d.]+|true))')


def lines_of(name: str) -> list[str]:
    text = (ROOT / "notebooks" / "demo" / name).read_text(encoding="utf-8")
    return [OFFERED.sub(r"\1", line) if OFFERED.fullmatch(line) else line for line in text.splitlines()]


def refusal_of(name: str, lines: list[str], place: int, instead: str) -> str:
    with pytest.raises(BendError) as refused:
        READ[name]("\n".join([*lines[:place], instead, *lines[place + 1 :]]), name)
    return str(refused.value)


def places_of(name: str, kind: str) -> list[tuple[int, str]]:
    return [(place, line) for place, line in enumerate(lines_of(name)) if re.match(kind, line)]


@pytest.mark.parametrize("name", READ)
def test_the_file_with_all_that_it_offers_is_taken(name):
    READ[name]("\n".join(lines_of(name)), name)


@pytest.mark.parametrize("name", READ)
def test_a_wrong_value_or_a_misspelt_name_is_refused_with_its_own_line(name):
    lines = lines_of(name)
    values = places_of(name, r"\w+ = ")
    assert len(values) >= len(lines) / 6
    for place, line in values:
        for instead in (f"{line.partition('=')[0]}= {{}}", f"wrong_{line}"):
            assert refusal_of(name, lines, place, instead).endswith(f"({name}, line {place + 1})"), instead


@pytest.mark.parametrize("name", READ)
def test_a_misspelt_heading_is_refused_with_its_own_line(name):
    for place, line in places_of(name, r"\["):
        said = refusal_of(name, lines_of(name), place, re.sub(r"(\[+)", r"\1x", line))
        assert said.endswith(f"({name}, line {place + 1})")


def test_a_heading_in_too_many_brackets_is_refused_with_its_own_line():
    for place, line in places_of("shop.toml", r"\[\w"):
        said = refusal_of("shop.toml", lines_of("shop.toml"), place, f"[{line}]")
        heading = line.strip("[]")
        assert said == (
            f"Write [{heading}] above its lines: {heading} must be under its own heading (shop.toml, line {place + 1})"
        )


@pytest.mark.parametrize("name", READ)
def test_a_heading_with_too_few_brackets_asks_for_two_round_each(name):
    lines = lines_of(name)
    headings = places_of(name, r"\[\[")
    for place, line in headings:
        alike = [at for at, other in headings if other == line]
        said = refusal_of(name, lines, place, line[1:-1])
        # the reader goes on until the two do not go together
        seen = alike[1] if len(alike) > 1 and place == alike[0] else place
        assert said.endswith(f"({name}, line {seen + 1})")
        assert line in said.partition(": ")[0]
        assert "put two brackets round each" in said or said.startswith(f"Write {line} above each")


def test_a_heading_after_a_value_of_the_same_name_asks_to_delete_one_of_the_two():
    lines = ["tube = 3", *lines_of("shop.toml")]
    place = lines.index("[[tube]]")
    said = refusal_of("shop.toml", lines, place, "[[tube]]")
    assert said.startswith("Delete one of the two lines: a name must be there once under its heading, got '[[tube]]'")
    assert said.endswith(f"(shop.toml, line {place + 1})")


def test_what_is_left_over_behind_a_second_heading_is_no_heading_seen_twice():
    lines = lines_of("shop.toml")
    place = len(lines) - lines[::-1].index("[[tube]]") - 1
    said = refusal_of("shop.toml", lines, place, "[[tube]] thin")
    assert "(something is left over behind the value)" in said
    assert said.endswith(f"(shop.toml, line {place + 1})")


@pytest.mark.parametrize("name", MEASURES)
def test_a_length_of_the_bender_is_measured_between_the_same_two_things_in_the_file_and_on_the_page(name):
    thing, _, kind = name.rpartition("_")
    start = {"below": "middle of the tube", "reach": "pivot"}.get(kind, "")
    lines = lines_of("shop.toml")
    place = next(place for place, line in enumerate(lines) if line.startswith(f"{name} = "))
    above = next(at for at in range(place, 0, -1) if lines[at].startswith("#"))
    first = next(at for at in range(above, 0, -1) if not lines[at - 1].startswith("#"))
    remark = " ".join(line.strip("# ") for line in lines[first : above + 1])
    for words in (MEASURES[name].lower(), remark.lower()):
        assert start in words
        assert (thing or name).partition("_")[0] in words
    if start:
        assert re.match(f"From the (die's )?{start}", MEASURES[name])
