"""All ways to install a sound loop wrong, in the order of the loop."""

from tests.sabotage import pump_and_air, pump_to_sea, sea_to_pump, stated
from tests.sabotage.way import WAYS, Sabotage

__all__ = ["WAYS", "Sabotage", "pump_and_air", "pump_to_sea", "sea_to_pump", "stated"]
