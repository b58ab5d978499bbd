"""A click on the map, in a real browser, shows the bar of that place; a key moves the point likewise."""

from barmath.shop.order_seven import ORDER

MAP = "rect.nsewdrag[data-subplot='xy']"


def point(notebook):
    trace = next(trace for trace in notebook.figure_data() if trace["name"] == "point")
    return trace["x"][0], trace["y"][0]


def test_a_click_on_the_map_shows_the_bar_of_that_place(open_notebook):
    notebook = open_notebook("04_what_this_shop_can_make", width=1280)
    notebook.run_all()
    notebook.show_every_answer()
    before = notebook.figure_data()
    assert point(notebook) == (ORDER.backsweep_deg, ORDER.rise_mm)

    field = notebook.page.locator(MAP).first
    field.scroll_into_view_if_needed()
    notebook.page.wait_for_timeout(1500)  # the notebook settles as cells come into view
    box = field.bounding_box()
    place = {"x": 0.2 * box["width"], "y": 0.7 * box["height"]}
    field.hover(position=place)
    notebook.page.wait_for_timeout(500)  # the library takes a click only after it has seen the pointer
    field.click(position=place)
    clicked = notebook.figure_data_after(before)
    x, y = point(notebook)
    assert abs(x - 6) <= 0.5
    assert abs(y - 62) <= 2
    assert notebook.shows("Can be made")

    notebook.focus("Backsweep")
    notebook.press("ArrowRight", times=3)
    notebook.figure_data_after(clicked)
    notebook.page.wait_for_timeout(1000)
    assert point(notebook)[0] == x + 1.5
    assert notebook.errors() == []
    assert notebook.problems == []
