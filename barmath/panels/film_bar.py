"""The bar under a picture in space that plays and scrubs its film, in the page and without Python."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from barmath.panels.keep_up import KEEP_UP
from barmath.panels.words_apart import WORDS_APART

FILM_CLASS = "barmath-film"


class FilmBar(anywidget.AnyWidget):
    """Buttons and a slider for the time of a plot: it moves in the page, and says to Python only which step it shows.

    Some people ask their system for less motion. They get the end of each motion, one after the other, instead of a
    film.

    Parameters
    ----------
    plot : k3d's plot
        Its `time` is set.

    Attributes
    ----------
    chapters : list of dict
        Of each motion its `step`, `words`, `start` and `end` in seconds.
    until : number
        How far the film may go, in seconds.
    step : int
        The step that is shown; set by the page.
    order : list
        Set by `go`: a number that grows, the time to show, and the time to play to.
    says : str
        What a screen reader reads of the picture.
    """

    _esm = (
        KEEP_UP
        + WORDS_APART
        + """
    const EVEN = matchMedia('(prefers-reduced-motion: reduce)');
    const ASPECT = 1.25; // the eyes see all where the picture is so much wider than high; narrower, they open wider
    function render({ model, el }) {
        el.classList.add('barmath-filmbar');
        el.innerHTML = `<div class="barmath-buttons">
            <button type="button" data-do="back">Bend before</button>
            <button type="button" data-do="play">Play</button>
            <button type="button" data-do="next">Next bend</button>
            <span class="barmath-caption"></span></div>
            <input type="range" min="0" step="0.05" aria-label="Through the bends">`;
        const find = what => el.querySelector(what);
        const range = find('input'), play = find('[data-do=play]'), caption = find('.barmath-caption');
        let plot = null, playing = false, target = Infinity, last = 0, wait = 0;
        let time = model.get('order')[1], alive = true, kept = () => {}, opened = 0;
        const chapters = () => model.get('chapters');
        const end = () => Math.min(model.get('until'), chapters().length ? chapters().at(-1).end : 0);
        const at = t => chapters().find(one => t < one.end - 1e-6) || chapters().at(-1);
        const show = t => {
            time = Math.max(0, Math.min(t, end()));
            range.value = time;
            const here = at(time);
            const words = here ? `${here.title}: ${here.words}` : '';
            if (caption.textContent !== words) { // each writing lays the page out again
                caption.textContent = words;
                range.setAttribute('aria-valuetext', words);
            }
            if (!here) return;
            if (plot) { plot.set('time', time); plot.trigger('msg:custom', {msg_type: 'render'}); }
            if (here.step !== model.get('step')) { model.set('step', here.step); model.save_changes(); }
        };
        const pause = () => { playing = false; clearTimeout(wait); play.textContent = 'Play'; };
        const frame = now => {
            if (!playing || !alive) return;
            show(time + Math.min(0.1, (now - last) / 1000));
            last = now;
            if (time >= Math.min(target, end()) - 1e-6) return pause();
            requestAnimationFrame(frame);
        };
        const jump = () => {
            if (!playing || !alive) return;
            const here = at(time + 1e-3);
            show(Math.min(here ? here.end - 1e-3 : 0, target));
            if (time >= Math.min(target, end()) - 0.05) return pause();
            time += 2e-3;
            wait = setTimeout(jump, 1200);
        };
        const start = to => {
            target = to;
            playing = true;
            play.textContent = 'Pause';
            last = performance.now();
            EVEN.matches ? jump() : requestAnimationFrame(frame);
        };
        const toggle = () => {
            if (playing) return pause();
            if (time >= end() - 1e-3) show(0);
            start(Infinity);
        };
        const to = by => {
            pause();
            const here = at(time), steps = [...new Set(chapters().map(one => one.step))];
            const step = steps[Math.max(0, Math.min(steps.length - 1, steps.indexOf(here.step) + by))];
            show(chapters().find(one => one.step === step).start);
            if (by > 0) start(chapters().filter(one => one.step === step).at(-1).end - 0.01);
        };
        find('[data-do=back]').onclick = () => chapters().length && to(-1);
        find('[data-do=next]').onclick = () => chapters().length && to(1);
        play.onclick = () => chapters().length && toggle();
        range.oninput = () => { pause(); show(Number(range.value)); };
        range.onkeydown = event => {
            if (event.key === ' ') { event.preventDefault(); toggle(); }
        };
        const renewed = () => {
            range.max = chapters().length ? chapters().at(-1).end : 0;
            show(time);
        };
        const ordered = () => {
            const [, from, till] = model.get('order');
            pause();
            range.max = chapters().length ? chapters().at(-1).end : 0;
            show(from);
            if (till > from) start(till);
        };
        const said = () => {
            const canvas = el.closest('.barmath-film')?.querySelector('canvas');
            if (!canvas) return;
            canvas.setAttribute('role', 'img');
            canvas.setAttribute('aria-label', model.get('says'));
        };
        const sized = new ResizeObserver(([{contentRect: {width, height}}]) => {
            if (!plot || !width) return;
            opened ||= plot.get('camera_fov') * Math.PI / 360;
            const half = Math.atan(Math.tan(opened) * Math.max(1, ASPECT * height / width));
            plot.set('camera_fov', half * 360 / Math.PI);
            show(time);
        });
        model.on('change:chapters change:until', renewed);
        model.on('change:order', ordered);
        model.on('change:says', said);
        model.widget_manager.get_model(model.get('plot')).then(found => { plot = found; renewed(); });
        const looking = setInterval(() => {
            const film = el.closest('.barmath-film');
            if (!film?.querySelector('canvas')) return;
            clearInterval(looking);
            kept = keepUp(film, wordsApart);
            sized.observe(film.querySelector('canvas'));
            said();
            show(time);
        }, 200);
        renewed();
        return () => {
            alive = false;
            pause();
            kept();
            sized.disconnect();
            clearInterval(looking);
            model.off('change:chapters change:until', renewed);
            model.off('change:order', ordered);
            model.off('change:says', said);
        };
    }
    export default { render };
    """
    )
    _css = """
    .barmath-filmbar { width: 100%; box-sizing: border-box; padding: 4px 2px; }
    .barmath-filmbar input[type=range] { width: 100%; height: 26px; margin: 2px 0 0; accent-color: #0072b2;
        box-sizing: border-box; }
    .barmath-buttons { display: flex; flex-wrap: wrap; gap: 6px; align-items: center; }
    .barmath-buttons button { min-height: 28px; padding: 2px 12px; font: inherit; font-size: 13px; cursor: pointer;
        color: inherit; background: var(--jp-layout-color2, #eee); border: 1px solid var(--jp-border-color1, #888);
        border-radius: 4px; }
    .barmath-caption { font-size: 14px; font-weight: 600; padding-left: 6px; }
    """

    plot = traitlets.Unicode().tag(sync=True)
    chapters = traitlets.List(traitlets.Dict()).tag(sync=True)
    until = traitlets.Float(1e6).tag(sync=True)
    step = traitlets.Int(0).tag(sync=True)
    order = traitlets.List([0, 0.0, 0.0]).tag(sync=True)
    says = traitlets.Unicode("").tag(sync=True)

    def __init__(self, plot: Any) -> None:
        super().__init__(plot=plot.model_id)

    def go(self, time_s: float, play_to_s: float = 0.0) -> None:
        """Show a time, and play from there where a later one is given."""
        self.order = [self.order[0] + 1, time_s, play_to_s]
