"""Pump curves: the pump file, its checks, and the catalogue that ships with the program."""

from loop.catalogue import catalogue as catalogue
from loop.catalogue import catalogue_name as catalogue_name
from loop.pumps.curve import PumpCurve as PumpCurve
from loop.pumps.files import UnknownPumpError as UnknownPumpError
from loop.pumps.files import in_catalogue as in_catalogue
from loop.pumps.files import load_pump as load_pump
from loop.pumps.files import pump_by_reference as pump_by_reference
from loop.pumps.files import pump_problems as pump_problems
from loop.pumps.files import read_pump as read_pump
from loop.pumps.nameplate import Nameplate as Nameplate
from loop.pumps.nameplate import head_of as head_of
from loop.pumps.points import Curve as Curve
from loop.pumps.points import Series as Series
