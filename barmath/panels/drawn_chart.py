"""A chart on which a line is drawn with a mouse, a pen or a finger."""

from __future__ import annotations

import anywidget
import traitlets


class DrawnChart(anywidget.AnyWidget):
    """A chart as SVG. While it is `drawable`, a pointer that is pressed on it sets the height at each place it passes.

    Attributes
    ----------
    value : str
        The chart, an SVG element.
    across : list of float
        Where the places are, in the chart's own units.
    ends : list of float
        Where the lowest and the highest height are, in the chart's own units, from the top.
    span : list of float
        The lowest and the highest height.
    heights : list of float
        The line: the page sets it while one draws, Python if a row is moved.
    drawable : bool
        Whether the line may still be drawn.
    """

    value = traitlets.Unicode().tag(sync=True)
    across = traitlets.List(traitlets.Float()).tag(sync=True)
    ends = traitlets.List(traitlets.Float()).tag(sync=True)
    span = traitlets.List(traitlets.Float()).tag(sync=True)
    heights = traitlets.List(traitlets.Float()).tag(sync=True)
    drawable = traitlets.Bool(True).tag(sync=True)

    _esm = """
    function render({ model, el }) {
        el.classList.add('barmath-drawn');
        const show = () => {
            el.innerHTML = model.get('value');
            el.classList.toggle('barmath-open', model.get('drawable'));
        };
        let before = null;  // the place and height of the stroke so far; null between two strokes
        const under = event => {
            const svg = el.querySelector('svg');
            const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
            const across = model.get('across'), [bottom, top] = model.get('ends'), [low, high] = model.get('span');
            const far = across.map(x => Math.abs(x - at.x));
            const share = Math.min(1, Math.max(0, (bottom - at.y) / (bottom - top)));
            return [far.indexOf(Math.min(...far)), Math.round(low + share * (high - low))];
        };
        const put = event => {
            const now = under(event), heights = [...model.get('heights')], from = before ?? now;
            const steps = Math.abs(now[0] - from[0]);
            for (let step = Math.min(1, steps); step <= steps; step++) {  // places that a fast hand has passed over
                const share = steps ? step / steps : 1;
                heights[from[0] + Math.sign(now[0] - from[0]) * step] =
                    Math.round(from[1] + share * (now[1] - from[1]));
            }
            heights[now[0]] = now[1];
            before = now;
            model.set('heights', heights);
            model.save_changes();
        };
        el.addEventListener('pointerdown', event => {
            if (!model.get('drawable') || event.button || !el.querySelector('svg')) return;
            event.preventDefault();
            el.setPointerCapture(event.pointerId);
            put(event);
        });
        el.addEventListener('pointermove', event => { if (before) put(event); });
        ['pointerup', 'pointercancel'].forEach(end => el.addEventListener(end, () => { before = null; }));
        model.on('change:value', show);
        model.on('change:drawable', show);
        show();
        return () => { model.off('change:value', show); model.off('change:drawable', show); };
    }
    export default { render };
    """
    _css = ".barmath-drawn.barmath-open { cursor: crosshair; touch-action: none; }"
