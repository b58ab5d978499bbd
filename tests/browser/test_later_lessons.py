"""Lessons 11 to 14 in a real browser: an exercise done, two bars compared, a bar screened, words looked up."""

from barmath.pictures.bar_in_space import WITHIN


def test_an_exercise_is_checked_and_its_solution_waits_for_an_honest_try(open_notebook):
    notebook = open_notebook("11_practice", width=1280)
    notebook.run_all()
    page = notebook.page
    solution = page.get_by_role("button", name="Show the worked solution")
    assert solution.is_disabled()
    for step in ("Estimate", "Compute", "Act"):
        page.get_by_label(step, exact=True).first.focus()
        notebook.press("Control+a")
        page.keyboard.type("50")
        notebook.press("Tab")
        page.get_by_role("button", name=f"Check: {step.lower()}").click()
        page.wait_for_timeout(800)
    assert solution.is_enabled()
    solution.click()
    page.get_by_role("heading", name="Worked").wait_for()
    page.get_by_role("button", name="Another").click()  # what is taken out of the page is closed, and nothing fails
    solution.and_(page.locator(":disabled")).wait_for()
    assert notebook.errors() == []
    assert notebook.problems == []


def test_a_class_sheet_is_written_by_its_button(open_notebook):
    notebook = open_notebook("15_for_the_teacher", width=820)
    notebook.run_all()
    notebook.page.get_by_role("button", name="Write the class sheet").click()
    notebook.page.get_by_text("Written to sheets/class marks.pdf.").wait_for()
    written = notebook.folder / "sheets" / "class marks.pdf"
    assert written.read_bytes().startswith(b"%PDF")


DEPTH_STEPS_MM = """() => globalThis.__k3dWidgets.plots.map(({K3DInstance}) => {
    const {camera, controls, renderer} = K3DInstance.getWorld(), gl = renderer.getContext();
    return camera.position.distanceTo(controls.target) ** 2 / camera.near / 2 ** gl.getParameter(gl.DEPTH_BITS);
})"""
"""How far apart two surfaces must be, where the eye looks, for the nearer one to hide the other."""


def test_the_new_bar_follows_its_sliders_and_keeps_the_hands(open_notebook):
    notebook = open_notebook("12_two_bars_compared", width=1280)
    notebook.run_all()
    before = notebook.figure_data()
    notebook.page.get_by_role("button", name="Make the new bar the first of these").click()
    after = notebook.figure_data_after(before)
    hands = {trace["name"]: (trace["x"], trace["y"]) for trace in after if trace["name"].endswith("side hand")}
    (ahead, high), (other_ahead, other_high) = hands["old bar side hand"], hands["new bar side hand"]
    assert abs(ahead[0] - other_ahead[0]) < 0.1
    assert abs(high[0] - other_high[0]) < 0.1
    between_the_tubes = (1.0 - WITHIN) * 22.225 / 2.0
    assert max(notebook.page.evaluate(DEPTH_STEPS_MM)) < between_the_tubes / 10.0
    assert notebook.errors() == []
    assert notebook.problems == []


def test_a_thicker_wall_lowers_the_stress_and_the_words_stay(open_notebook):
    notebook = open_notebook("13_will_it_hold", width=1280)
    notebook.run_all()
    notebook.show_every_answer()
    assert notebook.shows("Never ride on a number")
    panel = 1  # below the chart of widths
    before = notebook.figure_data(panel)
    notebook.focus("Tube wall")
    notebook.press("ArrowRight", times=5)
    after = notebook.figure_data_after(before, panel)

    def largest(traces):
        stress = next(trace for trace in traces if trace["name"] == "elastic")["y"]
        return max(value for value in stress if value is not None)

    assert largest(after) < largest(before)
    assert notebook.shows("Never ride on a number")
    assert notebook.errors() == []


def test_every_word_has_its_picture(open_notebook):
    notebook = open_notebook("14_words_of_the_trade", width=820)
    notebook.run_all()
    assert notebook.page.get_by_role("img", name="Sketch: ").count() > 40
    assert notebook.errors() == []
