"""What people believe of a loop: a row a topic of the quiz."""

from collections.abc import Mapping

from loop.teach.words.belief import Belief
from loop.teach.words.beliefs_air import ON_AIR
from loop.teach.words.beliefs_flow import ON_FLOW
from loop.teach.words.beliefs_pump import ON_PUMPS

BELIEFS: Mapping[str, Belief] = {**ON_FLOW, **ON_AIR, **ON_PUMPS}
