"""Many loops like a job's, solved at once: a grid of changes, or boats built like it."""

from loop.sweep.axes import read_vary
from loop.sweep.random_boats import Boats, boats
from loop.sweep.result import Sweep
from loop.sweep.run import sweep

__all__ = ["Boats", "Sweep", "boats", "read_vary", "sweep"]
