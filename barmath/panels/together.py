"""Changes of many widgets that reach the page as one message."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from typing import Any

import anywidget
import ipywidgets as widgets


class Together(anywidget.AnyWidget):
    """An unseen widget that carries what several others say to the page, one after the other.

    Each message costs kernel, server and page one to two milliseconds, and a picture in space has a dozen objects.
    Nothing is carried before the page has said that it listens. A page that listens later is sent the state of all
    of them once, for it may have missed something.
    """

    _esm = """
    function initialize({ model }) {
        let last = Promise.resolve();
        const unpack = async (sent, buffers) => {
            let next = 0;
            for (const {to, message, count} of sent.carried) {
                const own = buffers.slice(next, next += count);
                const one = await model.widget_manager.get_model(to);
                await one._handle_comm_msg({content: {data: message}, buffers: own});
            }
        };
        const heard = (sent, buffers) => { last = last.then(() => unpack(sent, buffers)).catch(console.error); };
        model.on('msg:custom', heard);
        model.send({listens: true});
        return () => model.off('msg:custom', heard);
    }
    export default { initialize };
    """

    def __init__(self, others: Sequence[widgets.Widget]) -> None:
        self.others = tuple(others)
        self._carried: list[tuple[widgets.Widget, dict, list]] | None = None
        self._listens = self._has_carried = False
        super().__init__()
        for widget in self.others:
            widget._send = partial(self._carry_or_send, widget)
        self.on_msg(self._heard)

    @contextmanager
    def one_message(self) -> Iterator[None]:
        """What the widgets send while this runs goes to the page as one message at its end."""
        if not self._listens or self._carried is not None:
            yield
            return
        self._carried = []
        try:
            yield
        finally:
            carried, self._carried = self._carried, None
            if carried:
                self._has_carried = True
                listed = [{"to": one.model_id, "message": said, "count": len(parts)} for one, said, parts in carried]
                self.send({"carried": listed}, [part for _, _, parts in carried for part in parts])

    def _carry_or_send(self, widget: widgets.Widget, message: dict, buffers: list | None = None) -> None:
        if self._carried is None:
            type(widget)._send(widget, message, buffers=buffers)
        else:
            self._carried.append((widget, message, list(buffers or ())))

    def _heard(self, _: object, content: dict[str, Any], __: object) -> None:
        self._listens = True
        if self._has_carried:
            for widget in self.others:
                widget.send_state()
