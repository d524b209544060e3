"""Many loops like a job's, solved at once: a grid of changes, or boats built like it."""

from loop.sweep.random_boats import Boats, boats
from loop.sweep.result import Sweep
from loop.sweep.run import sweep
from loop.sweep.vary_text import read_vary

__all__ = ["Boats", "Sweep", "boats", "read_vary", "sweep"]
