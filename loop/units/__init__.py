"""Text with a unit ⇄ SI number.

Inside the program every quantity is an SI float (temperatures in degrees Celsius). Text such as
``"1-1/4 in"`` or ``"240 gph"`` is parsed here once on input, and numbers become text here again on
output. The corresponding model fields are in `loop.units.fields` and `stated`.
"""

from loop.units.number import UnitError as UnitError
from loop.units.shown import System as System
from loop.units.shown import bare as bare
from loop.units.shown import check_system as check_system
from loop.units.shown import convert as convert
from loop.units.shown import decimals as decimals
from loop.units.shown import label as label
from loop.units.shown import linear_shown as linear_shown
from loop.units.shown import show as show
from loop.units.shown import system_of as system_of
from loop.units.shown import unitless as unitless
from loop.units.text import parse as parse
from loop.units.text import parse_measured as parse_measured
