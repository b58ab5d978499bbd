"""What many widgets say to the page as one message: in a fixed sequence, nothing lost, to a page that listens."""

from dataclasses import replace

import ipywidgets as widgets
import numpy as np
import pytest

from barmath.panels.bar_view import BarView
from barmath.shop.order_seven import TUBE, order_seven_recipe
from barmath.space.drawing import drawing_from_recipe

LOW, HIGH = (
    drawing_from_recipe(replace(order_seven_recipe(), straight_mm=straight), TUBE.outside_diameter_mm)
    for straight in (100.0, 120.0)
)


@pytest.fixture
def sent(monkeypatch):
    done = []

    def note(widget, message, buffers=None):
        done.append((widget, message, buffers))

    monkeypatch.setattr(widgets.Widget, "_send", note)
    return done


def view_that(listens, sent):
    view = BarView()
    view.show(LOW, {})
    if listens:
        view.together._handle_custom_msg({"listens": True}, [])
    sent.clear()
    return view


def test_a_bar_in_space_reaches_a_page_that_listens_as_one_message(sent):
    view = view_that(True, sent)
    view.show(HIGH, {"rise": "rise 100.0 mm"})
    ((carrier, said, buffers),) = sent
    assert carrier is view.together
    carried = said["content"]["carried"]
    assert sum(one["count"] for one in carried) == len(buffers)
    assert carried[-2]["message"]["content"]["msg_type"] == "render"  # all is in its place before it is drawn
    (tube,) = (one for one in carried if one["to"] == view.picture.things["tube"].model_id)
    first = sum(one["count"] for one in carried[: carried.index(tube)])
    corners = np.frombuffer(bytes(buffers[first]), np.float32).reshape(-1, 3)
    np.testing.assert_array_equal(corners, view.picture.things["tube"].vertices)


def test_what_is_carried_is_what_would_have_been_sent_one_by_one(sent):
    said = {}
    for listens in (False, True):
        view = view_that(listens, sent)
        names = {one.model_id: one.name for one in (*view.picture.things.values(), view.picture.plot)}
        names[view.care.model_id] = "care"
        view.show(HIGH, {"rise": "rise 100.0 mm"})
        if listens:
            ((_, one, buffers),) = sent
            parts = iter(buffers)
            said[listens] = [
                (names[each["to"]], each["message"], [next(parts) for _ in range(each["count"])])
                for each in one["content"]["carried"]
            ]
        else:
            said[listens] = [(names[widget.model_id], message, list(parts or ())) for widget, message, parts in sent]
    assert len(said[True]) > 5
    assert _plain(said[True]) == _plain(said[False])


def _plain(said):
    return [(name, str(message), [bytes(part) for part in parts]) for name, message, parts in said]


def test_a_page_that_listens_later_is_sent_everything_once(sent):
    view = view_that(True, sent)
    view.together._handle_custom_msg({"listens": True}, [])  # nothing was carried yet
    assert sent == []
    view.show(HIGH, {})
    sent.clear()
    view.together._handle_custom_msg({"listens": True}, [])
    assert [widget for widget, *_ in sent] == list(view.together.others)
    assert all(message["method"] == "update" for _, message, _ in sent)


def test_what_was_said_before_a_fault_is_carried(sent):
    view = view_that(True, sent)
    with pytest.raises(AttributeError):
        view.show(HIGH, None)  # the tube is in its place by then
    ((carrier, said, _),) = sent
    assert carrier is view.together
    assert view.picture.things["tube"].model_id in [one["to"] for one in said["content"]["carried"]]
    view.care.says = "each speaks for itself again"
    assert sent[-1][0] is view.care
