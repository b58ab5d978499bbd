"""A picture in space in a panel: as large as its place allows, and in words for a screen reader."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from barmath.panels.keep_up import KEEP_UP
from barmath.panels.words_apart import WORDS_APART

SPACE_CLASS = "barmath-space"


class SpaceView(anywidget.AnyWidget):
    """A widget of no height below a plot of k3d that keeps its objects in view, however wide the page is.

    k3d draws when it is asked to; this also asks once everything is in the page. And it takes the ghost away when
    nothing has moved for a while.

    Parameters
    ----------
    plot, ghost : k3d's plot, and the thing in it that is the ghost, or None
    target_mm, toward_eye : three numbers each
        What the eye looks at, and the way from there to the eye.
    shown_mm : two numbers
        How wide and how high the picture must be there.
    fov_deg : number
        The upright angle of the eye.

    Attributes
    ----------
    says : str
        What a screen reader reads of the picture.
    shown : list
        `shown_mm`; it may be set later.
    moved : int
        A number that grows with each change of what is shown.
    """

    _esm = (
        KEEP_UP
        + WORDS_APART
        + """
    function render({ model, el }) {
        const GHOST_MS = 2500;
        let plot = null, ghost = null, canvas = null, fitted = '', fading = 0, ended = false, kept = () => {};
        const draw = () => plot.trigger('msg:custom', {msg_type: 'render'});
        const fit = () => {
            if (!plot || !canvas || !canvas.clientWidth) return;
            const [wide, high] = model.get('shown'), aspect = canvas.clientWidth / canvas.clientHeight;
            if (fitted === `${wide} ${canvas.clientWidth}`) return;
            fitted = `${wide} ${canvas.clientWidth}`;
            const target = model.get('target'), way = model.get('way'), size = Math.hypot(...way);
            const far = Math.max(wide / aspect, high) / 2 / Math.tan(model.get('fov') * Math.PI / 360);
            plot.set('camera', [...target.map((at, i) => at + far * way[i] / size), ...target, 0, 0, 1]);
            draw();
        };
        const gone = () => {
            if (!ghost) return;
            ghost.set('visible', false);
            ghost.save_changes();
            if (plot) draw();
        };
        const moved = () => {
            clearTimeout(fading);
            fading = setTimeout(gone, GHOST_MS);
        };
        const said = () => {
            canvas?.setAttribute('role', 'img');
            canvas?.setAttribute('aria-label', model.get('says'));
        };
        const sized = new ResizeObserver(fit);
        const looking = setInterval(() => {
            canvas = el.closest('.barmath-space')?.querySelector('canvas');
            if (!canvas || !plot) return;
            clearInterval(looking);
            kept = keepUp(el.closest('.barmath-space'), wordsApart);
            sized.observe(canvas);
            said();
            fit();
        }, 100);
        model.widget_manager.get_model(model.get('plot')).then(found => { plot = found; });
        if (model.get('ghost')) model.widget_manager.get_model(model.get('ghost')).then(found => {
            ghost = found;
            if (!fading && !ended) moved(); // a view that ended, because its cell ran again, no longer takes it away
        });
        model.on('change:says', said);
        model.on('change:shown', fit);
        model.on('change:moved', moved);
        return () => {
            ended = true;
            clearInterval(looking);
            clearTimeout(fading);
            kept();
            sized.disconnect();
            model.off('change:says', said);
            model.off('change:shown', fit);
            model.off('change:moved', moved);
        };
    }
    export default { render };
    """
    )
    _css = """
    .barmath-space ul.barmath-legend { display: flex; flex-wrap: wrap; gap: 2px 20px; list-style: none; margin: 2px 0;
        padding: 0; font-size: 13px; line-height: 1.5; }
    .barmath-legend span { display: inline-block; width: 44px; height: 14px; margin-right: 8px; vertical-align: -2px;
        border: 1px solid currentColor; forced-color-adjust: none; }
    @container (max-width: 480px) { .barmath-space .k3d-plot > div { height: 210px !important; } }
    """

    plot = traitlets.Unicode().tag(sync=True)
    target = traitlets.List(traitlets.Float()).tag(sync=True)
    way = traitlets.List(traitlets.Float()).tag(sync=True)
    shown = traitlets.List(traitlets.Float()).tag(sync=True)
    fov = traitlets.Float().tag(sync=True)
    says = traitlets.Unicode("").tag(sync=True)
    ghost = traitlets.Unicode().tag(sync=True)
    moved = traitlets.Int(0).tag(sync=True)

    def __init__(
        self, plot: Any, ghost: Any = None, *, target_mm: tuple, toward_eye: tuple, shown_mm: tuple, fov_deg: float
    ) -> None:
        looks = {"target": list(target_mm), "way": list(toward_eye), "shown": list(shown_mm), "fov": fov_deg}
        super().__init__(plot=plot.model_id, ghost=ghost.model_id if ghost is not None else "", **looks)
