"""A figure in a notebook that shows its present state, and shares its drawing program with every other."""

from __future__ import annotations

import base64
import math
from collections.abc import Sequence
from importlib.resources import files
from typing import Any, ClassVar

import anywidget
import ipywidgets as widgets
import numpy as np
import plotly
import plotly.graph_objects as go
import traitlets
from plotly.callbacks import InputDeviceState, Points

from barmath.pictures.inches import axes_in


class DrawingProgram(widgets.Widget):
    """Plotly's drawing program, five megabytes of it, for the page to load once and not with each figure."""

    text = traitlets.Unicode().tag(sync=True)

    _in_this_kernel: ClassVar[DrawingProgram | None] = None

    @classmethod
    def in_this_kernel(cls) -> DrawingProgram:
        """The one of this kernel, made when the first figure asks for it."""
        if cls._in_this_kernel is None or cls._in_this_kernel.comm is None:  # never made, or closed with all widgets
            text = files(plotly).joinpath("package_data", "plotly.min.js").read_text(encoding="utf-8")
            cls._in_this_kernel = cls(text=text)
        return cls._in_this_kernel


class LiveFigure(go.Figure, anywidget.AnyWidget):
    """A Plotly figure that is a widget: what is changed in it is drawn again in the page.

    Plotly has such a figure of its own, `FigureWidget`. It brings the whole drawing program with each figure. A page
    that is opened later shows it as it was made. After each change the page sends all it has drawn back to Python. And
    its import compiles a grammar that no panel needs. This one sends each trace that was changed, once, and hears of
    clicks alone. The changes are numbered: a page that missed one asks for the whole figure.

    The page draws once a picture in space is seen that was drawn just before: that is what a hand waits for. What comes
    meanwhile is drawn together. Axes with ranges of their own are not drawn again where only lines and words have
    moved. Fields and their contours take long to work out, and Plotly does so whenever anything in their plot moves. So
    the other traces have a plot of their own, on top of the fields. A figure is drawn when it has a width, and again
    when that changes.
    """

    _esm = """
    const programs = globalThis.barmathDrawingPrograms ??= {};
    const AT_ONCE = {mode: 'immediate', transition: {duration: 0}, frame: {duration: 0, redraw: false}};
    const BARE = {displayModeBar: false}, CLEAR = 'rgba(0,0,0,0)';
    function layers(data) { // the places of fields, and of what is on top; without fields all is one
        const places = [...data.keys()], field = place => ['heatmap', 'contour'].includes(data[place].type);
        return places.some(field) ? [places.filter(field), places.filter(place => !field(place))] : [places, []];
    }
    function seeThrough({_fullLayout: {width, height, font, _size: {l, r, t, b}, xaxis, yaxis}}) { // of the same size
        const bare = ({range}) => ({range: [...range], visible: false, fixedrange: true});
        return {width, height, font, margin: {l, r, t, b, autoexpand: false}, xaxis: bare(xaxis), yaxis: bare(yaxis),
            paper_bgcolor: CLEAR, plot_bgcolor: CLEAR, showlegend: false, hovermode: false};
    }
    function moves(before, now) { // a line or words at another place
        const rest = ({x, y, text, textposition, customdata, ...others}) => JSON.stringify(others);
        return now.type === 'scatter' && rest(before) === rest(now);
    }
    function fixed(layout) { // every axis has its range, wherever the lines are
        return Object.entries(layout).every(([name, axis]) => !/^[xy]axis/.test(name) || axis.range);
    }
    function load(model) {
        return programs[model.get('_version')] ??= model.widget_manager.get_model(model.get('_program'))
            .then(program => import(URL.createObjectURL(new Blob(
                ['const define = undefined, module = undefined;', program.get('text')], {type: 'text/javascript'}))))
            .then(() => globalThis.Plotly);
    }
    function render({ model, el }) {
        el.classList.add('barmath-charts');
        const plot = el.appendChild(document.createElement('div'));
        let { serial, data, layout } = structuredClone(model.get('_whole'));
        let Plotly = null, due = false, ended = false, width = 0, drawn = Promise.resolve(), first = true, given = null;
        let whole = true, moved = new Set(), over = null;
        plot.style.minHeight = `${layout.height ?? 0}px`;
        const draw = () => {
            due = false;
            if (ended) return;
            given ??= structuredClone(layout); // Plotly writes into it, and what fitted one width does not fit another
            const fitted = given, [below, above] = layers(data), at = places => places.map(place => data[place]);
            if (above.length && !over) {
                over = el.appendChild(document.createElement('div'));
                over.classList.add('barmath-over');
            }
            const moving = above.length ? over : plot, places = above.length ? above : below;
            const changed = at([...moved]), traces = [...moved].map(place => places.indexOf(place));
            drawn = whole ? drawn.then(() => Plotly.react(plot, at(below), fitted, BARE)).then(hear)
                .then(() => above.length && Plotly.react(over, at(above), seeThrough(plot), {staticPlot: true})) :
                drawn.then(() => Plotly.animate(moving, {data: changed, traces}, AT_ONCE))
                    .then(() => moving.emit('plotly_afterplot'));
            [whole, moved] = [false, new Set()];
        };
        const hear = () => {
            if (first) plot.on('plotly_click', ({points}) => model.send({clicked: points.map(
                ({curveNumber, pointNumber, x, y}) =>
                    ({trace: layers(data)[0][curveNumber], point: pointNumber, x, y}))}));
            first = false;
        };
        const soon = () => {
            if (due || !Plotly || !width) return;
            due = true;
            if (first) return draw();
            const seen = globalThis.barmathSpaceSeen ?? Promise.resolve(); // a picture in space that is on its way
            seen.then(draw); // in its frame, with the words that came meanwhile
        };
        const heard = sent => {
            if (sent.whole && sent.whole.serial !== serial) {
                ({ serial, data, layout } = sent.whole);
                [given, whole] = [null, true];
            }
            else if (sent.serial > serial + 1) return model.send({have: serial});
            else if (sent.serial === serial + 1) {
                serial += 1;
                if (sent.layout) [layout, given, whole] = [sent.layout, null, true];
                whole ||= !fixed(layout) ||
                    !Object.entries(sent.traces).every(([place, trace]) => moves(data[place], trace));
                data = data.map((trace, place) => sent.traces[place] ?? trace);
                Object.keys(sent.traces).forEach(place => moved.add(Number(place)));
            }
            else return;
            soon();
        };
        const sized = new ResizeObserver(() => {
            if (plot.clientWidth === width) return;
            width = plot.clientWidth;
            if (width && !first) drawn = drawn.then(() => ended || Plotly.Plots.resize(plot));
            [given, whole] = [null, true];
            soon();
        });
        model.on('msg:custom', heard);
        sized.observe(plot);
        load(model).then(loaded => {
            Plotly = loaded;
            model.send({have: serial});
            soon();
        });
        return () => {
            ended = true;
            sized.disconnect();
            model.off('msg:custom', heard);
            if (!first) [plot, over].forEach(one => one && Plotly.purge(one));
        };
    }
    export default { render };
    """
    _css = """
    .barmath-charts { position: relative; isolation: isolate; }
    .barmath-over { position: absolute; inset: 0; z-index: 1; pointer-events: none; }
    .barmath-charts .main-svg:has(.hoverlayer) { z-index: 2; }
    .barmath-charts :is(.scatterlayer text, .bartext-outside) { paint-order: stroke; stroke: #fff; stroke-width: 3px; }
    """
    _program = traitlets.Unicode().tag(sync=True)
    _version = traitlets.Unicode(plotly.__version__).tag(sync=True)
    _whole = traitlets.Dict().tag(sync=True, to_json=lambda _, figure: figure.whole())

    def __init__(self, *parts: Any, **options: Any) -> None:
        self._serial, self._unit = 0, "mm"
        super().__init__(*parts, **options)
        self.on_msg(self._heard)
        self.send_state("_whole")  # the figure was empty when the widget was made

    def lengths_in(self, unit: str) -> None:
        """Show every length on the axes and under the pointer in `unit`, "mm" or "in", once the data are there.

        The data are in mm. So there is nothing to do where mm were shown before: reading every axis takes longer than
        moving the lines.
        """
        if {unit, self._unit} != {"mm"}:
            axes_in(self, unit)
            self._unit = unit

    @traitlets.default("_program")
    def _program_in_this_kernel(self) -> str:
        return DrawingProgram.in_this_kernel().model_id

    def whole(self) -> dict[str, Any]:
        """All of the figure at this moment, for a page: the number of its last change, the traces and the layout."""
        made = hasattr(self, "_layout_obj")  # it is also asked for while the figure is being made
        data, layout = (self._data, self._layout_obj._props) if made else ([], {})
        return {"serial": self._serial, "data": for_page(data), "layout": for_page(layout)}

    def _send_changes(self, places: Sequence[int], layout: bool) -> None:
        self._serial += 1
        traces = {str(place): for_page(self._data[place]) for place in places}
        sent = {"layout": for_page(self._layout_obj._props)} if layout else {}
        self.send({"serial": self._serial, "traces": traces, **sent})

    def _send_whole(self) -> None:
        self.send({"whole": self.whole()})

    def _send_other(self) -> None:
        self._serial += 1
        self._send_whole()

    def _heard(self, _: object, content: dict[str, Any], __: object) -> None:
        if content.get("have", self._serial) != self._serial:
            self._send_whole()
        for at in content.get("clicked", ()):
            trace = self.data[at["trace"]]
            points = Points([at["point"]], [at["x"]], [at["y"]], trace.name, at["trace"])
            trace._dispatch_on_click(points, InputDeviceState())

    # What Plotly calls after a change, and leaves to those who show the figure.

    def _send_restyle_msg(self, style: Any, trace_indexes: Any = None, source_view_id: Any = None) -> None:
        self._send_changes(self._normalize_trace_indexes(trace_indexes), layout=False)

    def _send_relayout_msg(self, layout: Any, source_view_id: Any = None) -> None:
        self._send_changes((), layout=True)

    def _send_update_msg(
        self, restyle_data: Any, relayout_data: Any, trace_indexes: Any = None, source_view_id: Any = None
    ) -> None:
        places = self._normalize_trace_indexes(trace_indexes) if restyle_data else ()
        self._send_changes(places, layout=bool(relayout_data))

    def _send_addTraces_msg(self, new_traces_data: Any) -> None:
        self._send_other()

    def _send_moveTraces_msg(self, current_inds: Any, new_inds: Any) -> None:
        self._send_other()

    def _send_deleteTraces_msg(self, delete_inds: Any) -> None:
        self._send_other()


def for_page(value: Any) -> Any:
    """A value of a figure as JSON takes it; arrays of numbers as Plotly's drawing program reads them.

    Examples
    --------
    >>> import numpy as np
    >>> for_page({"x": np.array([1, 2], np.int8), "y": [1.5, float("nan")], "name": "rise"})
    {'x': {'dtype': 'i1', 'bdata': 'AQI='}, 'y': [1.5, None], 'name': 'rise'}
    """
    if isinstance(value, dict):
        return {key: for_page(part) for key, part in value.items()}
    if isinstance(value, np.ndarray) and value.size and value.dtype.str[1:] in _TYPED:
        array = {"dtype": value.dtype.str[1:], "bdata": base64.b64encode(value.tobytes()).decode("ascii")}
        return array if value.ndim == 1 else array | {"shape": ", ".join(map(str, value.shape))}
    if isinstance(value, np.ndarray | np.generic):
        value = value.tolist()
    if isinstance(value, list | tuple):
        return [for_page(part) for part in value]
    return None if isinstance(value, float) and math.isnan(value) else value


_TYPED = ("i1", "u1", "i2", "u2", "i4", "u4", "f4", "f8")
"""The kinds of numbers that the drawing program takes by their bytes."""
