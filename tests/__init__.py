"""Tests of the whole program, with their shared helpers."""

import os

# As the command does, before numpy is loaded: threads of the arithmetic only wait for each other
# where each processor has a worker already.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
