"""Tests of the whole program, with their shared helpers."""

import os

# As the command does, before numpy is loaded: its threads only wait for each other if each
# processor already has a worker.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
