"""The words of the trade with a picture for each: sketches from the bar's own geometry, in `terms` by group."""
