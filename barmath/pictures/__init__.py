"""Plotly figures. A picture takes computed geometry and computes none."""
