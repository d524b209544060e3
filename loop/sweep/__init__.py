"""Every point of a grid of changes to a job, solved at once."""

from loop.sweep.result import Sweep
from loop.sweep.run import sweep
from loop.sweep.spoken import read_vary

__all__ = ["Sweep", "read_vary", "sweep"]
