"""Which of the two runs this is: the one after each change, or the long one of the night."""

import os

NIGHTLY = os.environ.get("HYPOTHESIS_PROFILE") == "nightly"
"""In the night there is time for hours of cases; by day the whole takes minutes."""
