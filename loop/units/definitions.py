"""The units that the trade uses, and the kinds of quantity they measure.

The units library's own definitions would take longer to load than a whole check takes to run, and
would accept "5 parsec": only these are defined, all in lower case. Everyday units are parsed by
`loop.units.factors` without the library.
"""

from typing import Literal

# Exact by definition: international yard and pound agreement 1959, US gallon 231 in³, imperial
# gallon 4.54609 L (Weights and Measures Act 1985), NIST SP 811 (2008) for Btu_IT, psi, conventional
# water and mercury columns, refrigeration ton.
DEFINITIONS = """
m = [length]
s = [time]
kg = [mass]
a = [current] = _ = amp = amps = ampere = amperes
kelvin = [temperature] = _ = k
usd = [money]
mm = 0.001 * m = _ = millimeter = millimeters = millimetre = millimetres
cm = 0.01 * m = _ = centimeter = centimeters = centimetre = centimetres
in = 0.0254 * m = _ = inch = inches
ft = 12 * in = _ = foot = feet
yd = 3 * ft = _ = yard = yards
meter = m = _ = meters = metre = metres
nmi = 1852 * m
mi = 5280 * ft = _ = mile = miles
ms = 0.001 * s
second = s = _ = seconds = sec = secs
min = 60 * s = _ = minute = minutes = mins
h = 3600 * s = _ = hour = hours = hr = hrs
day = 24 * h = _ = days
l = 0.001 * m ** 3 = _ = liter = liters = litre = litres
ml = 0.001 * l
gal = 231 * in ** 3 = _ = gallon = gallons = usgal
impgal = 4.54609 * l
qt = gal / 4 = _ = quart = quarts
n = kg * m / s ** 2
pa = n / m ** 2
hpa = 100 * pa
kpa = 1000 * pa
mpa = 1000000 * pa
mbar = 100 * pa
bar = 100000 * pa
lbf = 0.45359237 * 9.80665 * n
psi = lbf / in ** 2 = _ = psig
mh2o = 9806.65 * pa
fth2o = 0.3048 * mh2o
inh2o = 0.0254 * mh2o
cmh2o = 0.01 * mh2o
mmh2o = 0.001 * mh2o
inhg = 3386.389 * pa
mmhg = 133.3224 * pa
j = n * m
w = j / s = _ = watt = watts
kw = 1000 * w
hp = 550 * ft * lbf / s
btu = 1055.05585262 * j
btuh = btu / h
kbtu = 1000 * btu
kbtuh = kbtu / h
ton = 12000 * btu / h = _ = tons = tr
v = w / a = _ = volt = volts = vac = vdc
ah = a * h
kwh = kw * h
wh = w * h
hz = 1 / s = _ = hertz
kn = nmi / h = _ = kt = kts = knot = knots
mph = mi / h
kmh = 1000 * m / h
gph = gal / h
gpm = gal / min
lpm = l / min
lph = l / h
degc = kelvin; offset: 273.15 = _ = celsius = c
degf = 5 / 9 * kelvin; offset: 255.3722222222222 = _ = fahrenheit = f
radian = [angle] = _ = rad = radians
deg = 0.017453292519943295 * radian = _ = degree = degrees
percent = 0.01 = _ = pct
"""

# kind: (SI unit, spellings to suggest in an error, unit of a bare number passed from Python)
KINDS: dict[str, tuple[str, str, str]] = {
    "length": ("m", "in, ft, mm, cm, m", "m"),
    "area": ("m**2", "in^2, cm^2, mm^2", "m^2"),
    "volume": ("m**3", "gal, qt, L, mL", "m^3"),
    "time": ("s", "s, min, h", "s"),
    "flow": ("m**3/s", "gal/h, gal/min, L/min, L/h, m^3/h", "m^3/s"),
    "pressure": ("pa", "psi, kPa, bar, inHg, ftH2O, mH2O", "Pa"),
    "temperature": ("degc", "degF, degC", "degC"),
    "temperature_difference": ("kelvin", "degF, degC, K", "K"),
    "angle": ("radian", "deg", "radians"),
    "speed": ("m/s", "knot, m/s, ft/s, mph", "m/s"),
    "power": ("w", "W, kW, BTU/h, ton", "W"),
    "ratio": ("", "%", ""),
    "voltage": ("v", "V", "V"),
    "current": ("a", "A", "A"),
    "charge": ("ah", "Ah", "Ah"),
    "frequency": ("hz", "Hz", "Hz"),
}

Kind = Literal[
    "length",
    "area",
    "volume",
    "time",
    "flow",
    "pressure",
    "temperature",
    "temperature_difference",
    "angle",
    "speed",
    "power",
    "ratio",
    "voltage",
    "current",
    "charge",
    "frequency",
]
