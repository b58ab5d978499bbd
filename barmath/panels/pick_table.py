"""A table of which one row is picked: a mouse, keys and a screen reader can sort it and pick in it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import anywidget
import ipywidgets as widgets
import traitlets

from barmath.panels.pick_rows import Head, Row


class PickTable(anywidget.AnyWidget):
    """A table: a button in each head sorts it, and a round button in each row picks that row.

    The first press of a head sorts with the smallest first, the second with the largest first. The third gives back the
    sequence in which the rows came. The page does that by itself. The arrow keys pick the next row, as
    in any group of round buttons.

    Parameters
    ----------
    heads : sequence of Head
        One for each column.
    given : str
        What the sequence of the rows is called as they come, such as "the best first".
    high_px : int
        Height; what is longer scrolls below its heads.

    Attributes
    ----------
    title : str
        What the table is called.
    value : int or None
        Key of the picked row; set by the page too.
    """

    _esm = """
    function render({ model, el }) {
        el.classList.add('barmath-pick');
        const make = (kind, into, words = '') => {
            const part = document.createElement(kind);
            part.textContent = words;
            into.append(part);
            return part;
        };
        const set = (part, key, value) => { if (part[key] !== value) part[key] = value; };
        const group = `barmath-pick-${crypto.getRandomValues(new Uint32Array(2)).join('')}`;
        const table = make('table', el), caption = make('caption', table), body = make('tbody', table);
        const title = make('span', caption), sequence = make('span', caption);
        title.className = 'barmath-label';
        let by = null, falls = false;  // the column that it is sorted by, and whether the largest is first

        const heads = model.get('heads');
        const top = make('tr', table.createTHead());
        make('span', make('th', top), 'Pick').className = 'barmath-unseen';
        const buttons = heads.map(({ words, number }, column) => {
            const head = make('th', top), button = make('button', head, words);
            head.scope = 'col';
            head.classList.toggle('number', number);
            button.type = 'button';
            button.addEventListener('click', () => {
                [by, falls] = by !== column ? [column, false] : falls ? [null, false] : [column, true];
                draw();
            });
            return [head, button];
        });

        function sorted(rows) {
            if (by === null) return rows;
            const turn = falls ? -1 : 1, last = row => row.sizes[by] === null;
            const compare = (a, b) => typeof a === 'number' ? a - b : a.localeCompare(b, undefined, { numeric: true });
            return [...rows].sort((a, b) => last(a) || last(b) ? last(a) - last(b)
                : turn * compare(a.sizes[by], b.sizes[by]));
        }
        const shown = new Map();  // a row of the table for each key
        function newRow(key) {
            const row = make('tr', body), radio = make('input', make('td', row));
            radio.type = 'radio';
            radio.name = group;
            radio.addEventListener('change', () => { model.set('value', key); model.save_changes(); });
            row.addEventListener('click', event => { if (event.target !== radio) { radio.focus(); radio.click(); } });
            heads.forEach(({ number }) => make('td', row).classList.toggle('number', number));
            shown.set(key, row);
            return row;
        }
        const called = (words, head) => words.startsWith(head.toLowerCase()) ? words : `${head} ${words}`;
        function fill(row, { cells, bad }) {
            const said = cells.flatMap((words, place) => words === null ? [] : called(words, heads[place].words));
            set(row.cells[0].firstChild, 'ariaLabel', said.join(', '));
            cells.forEach((words, place) => {
                const cell = row.cells[place + 1], wide = cells.slice(place + 1).findIndex(next => next !== null);
                set(cell, 'hidden', words === null);
                set(cell, 'textContent', words ?? '');
                set(cell, 'colSpan', words === null ? 1 : wide < 0 ? cells.length - place : wide + 1);
            });
            row.classList.toggle('barmath-cannot', bad);
        }
        function draw() {
            const focus = document.activeElement, rows = sorted(model.get('rows')), value = model.get('value');
            const keys = new Set(rows.map(({ key }) => key));
            for (const [key, row] of shown) if (!keys.has(key)) { row.remove(); shown.delete(key); }
            rows.forEach((one, place) => {
                const row = shown.get(one.key) ?? newRow(one.key);
                fill(row, one);
                set(row.cells[0].firstChild, 'checked', one.key === value);
                row.classList.toggle('barmath-picked', one.key === value);  // :has(:checked) slows down a film
                if (body.rows[place] !== row) body.insertBefore(row, body.rows[place] ?? null);
            });
            if (el.contains(focus) && focus !== document.activeElement) focus.focus({ preventScroll: true });
            buttons.forEach(([head, button], column) => {
                head.ariaSort = by !== column ? 'none' : falls ? 'descending' : 'ascending';
                button.className = by !== column ? '' : falls ? 'barmath-falls' : 'barmath-rises';
            });
            set(title, 'textContent', model.get('title'));
            const end = by === null ? '' : heads[by].number ? falls ? ', largest first' : ', smallest first'
                : falls ? ', backwards' : '';
            const order = by === null ? model.get('given') : `sorted by ${heads[by].words.toLowerCase()}${end}`;
            set(sequence, 'textContent', `, ${order}`);
        }
        let seen;
        function follow() {  // the picked row comes into sight within the table, and the page does not move
            const row = shown.get(model.get('value'));
            if (!row || !el.clientHeight || model.get('value') === seen) return;
            seen = model.get('value');
            const head = table.tHead.offsetHeight, places = [...body.rows].map(one => one.offsetTop - head);
            const at = row.offsetTop - head, least = row.offsetTop + row.offsetHeight - el.clientHeight;
            if (at < el.scrollTop) el.scrollTop = at;
            else if (least > el.scrollTop) el.scrollTop = places.find(place => place >= least) ?? at;  // no row is cut
        }
        const change = () => { draw(); follow(); };
        model.on('change', change);
        change();
        const placed = new ResizeObserver(follow);  // it is drawn before it is in the page
        placed.observe(el);
        return () => { model.off('change', change); placed.disconnect(); };
    }
    export default { render };
    """
    _css = """
    .barmath-pick { overflow: auto; position: relative; }
    .barmath-pick table { border-collapse: separate; border-spacing: 0; width: 100%; font-size: 13px;
        line-height: 1.3; }
    .barmath-pick caption { text-align: left; padding: 4px 0; color: inherit; }
    .barmath-pick .barmath-label { font-weight: 600; }
    .barmath-pick thead th { position: sticky; top: 0; z-index: 1; padding: 0; vertical-align: bottom; text-align: left;
        background: var(--jp-layout-color0, #fff); border-bottom: 2px solid var(--jp-border-color1, #888); }
    .barmath-pick th button { width: 100%; min-height: 26px; min-width: 24px; padding: 2px 6px 2px 3px; border: 0;
        background: none; color: inherit; font: inherit; font-weight: 600; text-align: inherit; cursor: pointer; }
    .barmath-pick th button:hover { text-decoration: underline; }
    .barmath-pick th button::after { content: '\\2195'; margin-left: 3px; opacity: 0.55; }
    .barmath-pick th button.barmath-rises::after { content: '\\2191'; opacity: 1; }
    .barmath-pick th button.barmath-falls::after { content: '\\2193'; opacity: 1; }
    .barmath-pick td { height: 25px; padding: 0 6px 0 3px; border-bottom: 1px solid var(--jp-border-color2, #ddd); }
    .barmath-pick .number { text-align: right; font-variant-numeric: tabular-nums; }
    .barmath-pick td:first-child { width: 24px; padding: 0; }
    .barmath-pick input { display: block; width: 16px; height: 16px; margin: 0 4px; accent-color: #0072b2; }
    .barmath-pick tbody tr { cursor: pointer; }
    .barmath-pick tbody tr:hover { background: rgba(0, 114, 178, 0.08); }
    .barmath-pick tbody .barmath-picked { background: rgba(0, 114, 178, 0.18); font-weight: 600; }
    .barmath-pick .barmath-cannot:not(:hover, .barmath-picked) td { color: var(--jp-ui-font-color2, #555); }
    .barmath-unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
    .barmath-pick :is(input, button):focus-visible { outline: 2px solid #0072b2; outline-offset: -2px; }
    @container (max-width: 480px) {
        .barmath-pick table { font-size: 12px; }
        .barmath-pick th button { padding: 2px 4px 2px 2px; }
        .barmath-pick td { padding: 0 4px 0 2px; }
        .barmath-pick th button:not(.barmath-rises, .barmath-falls)::after { content: none; }
    }
    @media (forced-colors: active) {
        .barmath-pick tbody .barmath-picked { outline: 2px solid Highlight; outline-offset: -2px; }
        .barmath-pick th button { border: 1px solid ButtonText; }
    }
    """

    heads: Any = traitlets.List().tag(sync=True)
    given = traitlets.Unicode().tag(sync=True)
    title = traitlets.Unicode().tag(sync=True)
    rows: Any = traitlets.List().tag(sync=True)
    value = traitlets.Int(None, allow_none=True).tag(sync=True)

    def __init__(self, heads: Sequence[Head], given: str, high_px: int, title: str = "") -> None:
        layout = widgets.Layout(width="100%", height=f"{high_px}px")
        super().__init__(
            heads=[{"words": head.words, "number": head.number} for head in heads],
            given=given,
            title=title,
            layout=layout,
        )

    @property
    def offered(self) -> list[int]:
        """Keys of the rows, in the sequence in which they came."""
        return [row["key"] for row in self.rows]

    def words(self, key: int) -> str:
        """All words of a row, as a line."""
        return " ".join(words for row in self.rows if row["key"] == key for words in row["cells"] if words is not None)

    def show(self, rows: Sequence[Row], picked: int | None) -> None:
        """Show these rows, in one message; `picked` is a key, or None."""
        with self.hold_sync():
            self.rows = [{"key": one.key, "cells": one.cells, "sizes": one.sizes, "bad": one.bad} for one in rows]
            self.value = picked
