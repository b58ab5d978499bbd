"""Panels for notebooks: a pure function from state to readout, and a thin shell of widgets each."""
