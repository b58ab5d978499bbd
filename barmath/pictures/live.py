"""A figure in a notebook that shows itself as it is now."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import plotly.graph_objects as go


class LiveFigure(go.FigureWidget):
    """A FigureWidget that a page loaded again, or opened later, shows as it is now and not as it was made.

    A page keeps its own copy of the traces and is only told of changes; a new page asks for the whole state, which
    Plotly leaves as it was when the figure was made.
    """

    def get_state(self, key: Any = None, drop_defaults: bool = False) -> dict[str, Any]:
        """The state for a page; where all of it is asked for, with the traces and the layout of this moment."""
        made = hasattr(self, "_layout_obj")  # it is also asked for while the figure is being made
        if key is None and made:  # past the traits' own setters, which would send all of it to pages that have it
            self._trait_values["_widget_data"] = deepcopy(self._data)
            self._trait_values["_widget_layout"] = deepcopy(self._layout_obj._props)
        return super().get_state(key, drop_defaults)
