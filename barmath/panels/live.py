"""A figure in a notebook that shows itself as it is now, and shares its drawing program with every other."""

from __future__ import annotations

from copy import deepcopy
from typing import Any, ClassVar

import ipywidgets as widgets
import plotly
import plotly.graph_objects as go
import traitlets


class DrawingProgram(widgets.Widget):
    """Plotly's drawing program, five megabytes of it, for the page to load once and not with each figure."""

    text = traitlets.Unicode(str(go.FigureWidget._esm)).tag(sync=True)

    _in_this_kernel: ClassVar[DrawingProgram | None] = None

    @classmethod
    def in_this_kernel(cls) -> DrawingProgram:
        """The one of this kernel, made when the first figure asks for it."""
        if cls._in_this_kernel is None or cls._in_this_kernel.comm is None:  # never made, or closed with all widgets
            cls._in_this_kernel = cls()
        return cls._in_this_kernel


class LiveFigure(go.FigureWidget):
    """A FigureWidget that a page, loaded again or opened later, shows as it is now, not as it was made.

    A page keeps its own copy of the traces and is only sent the changes; a new page asks for the whole state, which
    Plotly leaves as it was when the figure was made. And each of Plotly's own figures carries the whole drawing program
    to the page. There it is read and started again; these ask for the one copy of their kernel.

    Nothing waits for the program: anywidget gives a widget two seconds to begin, and on a slow machine five megabytes
    need more. A figure that came too late would be shown, and would not move with the sliders. What is sent before the
    program is there is kept, and done then.

    A cell that runs again ends its view of the figure and begins another. Plotly has every view listen through the
    model of the figure. An ended view hears of changes there too, fails, and keeps them from the new one. Here a view
    listens through a model of its own, and anywidget ends that with the view. For a value that does not change Plotly
    has its own word, "_undefined_". Its model also takes that word as the value, and the new view draws without it:
    here it is left.
    """

    _esm = """
    async function loaded(model) {
        const programs = globalThis.barmathDrawingPrograms ??= {};
        programs[model.get('_version')] ??= model.widget_manager.get_model(model.get('_program')).then(program =>
            import(URL.createObjectURL(new Blob([program.get('text')], {type: 'text/javascript'}))));
        return (await programs[model.get('_version')]).default();
    }
    const SENT = ['addTraces', 'deleteTraces', 'moveTraces', 'restyle', 'relayout', 'update', 'animate',
        'removeLayoutProps', 'removeTraceProps'].map(name => `_py2js_${name}`);
    function untouched(name, sent) {
        if (name !== '_py2js_update' || !sent?.style_data) return sent;
        const style_data = Object.fromEntries(Object.entries(sent.style_data).map(([key, values]) =>
            [key, values?.map?.(value => value === '_undefined_' ? undefined : value) ?? values]));
        return { ...sent, style_data };
    }
    export default () => {
        let ready, hearer;
        return {
            initialize({ model }) {
                const early = [], acts = {};
                const keep = SENT.map(name => [`change:${name}`, () => early.push([name, model.get(name)])]);
                keep.forEach(one => model.on(...one));
                ready = loaded(model).then(async figure => {
                    let late = {};
                    hearer = model;
                    const on = (event, act) => { acts[event] ??= act; hearer.on(event, act); };
                    const get = name => untouched(name, late[name] ?? model.get(name));
                    keep.forEach(one => model.off(...one));
                    await figure.initialize({ model: { ...model, on, get } });
                    for (const [name, sent] of early) { late = {[name]: sent}; acts[`change:${name}`]?.(); }
                    late = {};
                    return figure;
                });
            },
            render({ model, el }) {
                let ended = false, end;
                ready.then(figure => {
                    if (ended) return;
                    hearer = model;
                    return figure.render({ el });
                }).then(done => ended ? done?.() : end = done);
                return () => { ended = true; end?.(); };
            },
        };
    };
    """
    _program = traitlets.Unicode().tag(sync=True)
    _version = traitlets.Unicode(plotly.__version__).tag(sync=True)

    @traitlets.default("_program")
    def _program_in_this_kernel(self) -> str:
        return DrawingProgram.in_this_kernel().model_id

    def get_state(self, key: Any = None, drop_defaults: bool = False) -> dict[str, Any]:
        """The state for a page; where all of it is asked for, with the traces and the layout of this moment."""
        made = hasattr(self, "_layout_obj")  # it is also asked for while the figure is being made
        if key is None and made:  # past the traits' own setters, which would send all of it to pages that have it
            self._trait_values["_widget_data"] = deepcopy(self._data)
            self._trait_values["_widget_layout"] = deepcopy(self._layout_obj._props)
        return super().get_state(key, drop_defaults)
