"""Sizing against one root search a point: ratios in one run, memory, and time in proportion."""

import time
import tracemalloc
from collections.abc import Iterator
from itertools import islice

import numpy as np
import pytest
from scipy.optimize import brentq

from loop.curve import Array
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.hydraulics.band import _bore_probes
from loop.hydraulics.network import part_table
from loop.job import Job, read_job
from loop.parts import Pump
from loop.size.odds import Draws, cases, drawn
from loop.size.options import applied, choices, in_service
from loop.size.study import outcome
from tests.loops import EXAMPLES

OPTIONS, DRAWS = 100, 1000
# Points of the root search that are timed; the rest would take as long each.
SEARCHED = 500
LEAST_RATIO = 300
