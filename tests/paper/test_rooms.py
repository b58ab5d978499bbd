"""The picture of the rooms is drawn from the code: every room, and only arrows that the table of imports allows."""

import io

from PIL import Image
from test_house import ROOMS, allowed_rooms

from barmath.paper.rooms import GROUND, arrows, floors, rooms, rooms_png, subject_of


def test_every_room_of_the_table_is_drawn():
    assert set(rooms()) == set(ROOMS) | {GROUND}


def test_every_arrow_is_one_that_the_table_allows_and_leads_down():
    heights = floors()
    for room, others in arrows().items():
        assert others <= (allowed_rooms(room) if room in ROOMS else set())
        assert all(heights[other] < heights[room] for other in others)


def test_a_room_says_its_subject():
    assert not [room for room in rooms() if not subject_of(room)]


def test_the_picture_is_large_enough_to_read():
    wide, high = Image.open(io.BytesIO(rooms_png())).size
    assert wide > 700
    assert high > 900
