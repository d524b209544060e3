"""Text with units to SI and back: exact definitions, spellings, refusals, round trips."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from loop.units import UnitError, convert, label, parse, parse_measured, show
from loop.units.definitions import KINDS, Kind
from loop.units.factors import FACTORS, TEMPERATURE_SCALES, known_factor
from loop.units.fields import Bore, Cooling, Length
from loop.units.pint_quantity import si_number
from loop.units.spelling import plain
from loop.units.stated import Rating
from loop.units.text import computed_factors, factors, unit_of

FOOT, GALLON = 0.3048, 3.785411784e-3  # definitions: 1959 agreement; 231 in³

# Each with its kind, and its SI value, the reason why it is none, or a text that means the same.
EXACT = [
    ("1 ft", "length", FOOT),
    ("3/4 in", "length", 0.01905),
    ("1-1/4 in", "length", 0.03175),
    ("1 1/4 in", "length", 0.03175),
    ("1¼ in", "length", 0.03175),
    ("5' 6\"", "length", 1.6764),
    ("-5' 6\"", "length", -1.6764),
    ("−16 in", "length", -0.4064),
    ("1,000 gal/h", "flow", 1000 * GALLON / 3600),
    ("240 gph", "flow", 240 * GALLON / 3600),
    ("4 gpm", "flow", 4 * GALLON / 60),
    ("150 imp gal/h", "flow", 150 * 4.54609e-3 / 3600),
    ("150 UK gal per hour", "flow", 150 * 4.54609e-3 / 3600),
    ("2.5 imp. gpm", "flow", 2.5 * 4.54609e-3 / 60),
    ("150 Imperial gph", "flow", 150 * 4.54609e-3 / 3600),
    ("5 gpm US", "flow", 5 * GALLON / 60),
    ("180 gph (US)", "flow", 180 * GALLON / 3600),
    ("3/4 in. ID", "length", 0.75 * 0.0254),
    ("60 L/min", "flow", 1e-3),
    ("3.6 m³/h", "flow", 1e-3),
    ("1 psi", "pressure", 6894.757293168361),
    ("1 bar", "pressure", 1e5),
    ("1 ftH2O", "pressure", FOOT * 9806.65),
    ("32 degF", "temperature", 0.0),
    ("85 °F", "temperature", 265 / 9),
    ("20 degC", "temperature", 20.0),
    ("10 degF", "temperature_difference", 50 / 9),
    ("90 deg", "angle", math.pi / 2),
    ("50 %", "ratio", 0.5),
    ("1 knot", "speed", 1852 / 3600),
    ("12000 BTU/h", "power", 12000 * 1055.05585262 / 3600),
    ("12000 btuh", "power", 12000 * 1055.05585262 / 3600),
    ("12000 BTU/hr", "power", 12000 * 1055.05585262 / 3600),
    ("12000 BTUs/h", "power", 12000 * 1055.05585262 / 3600),
    ("1 ton", "power", 12000 * 1055.05585262 / 3600),
    ("1.2 in^2", "area", 1.2 * 0.0254**2),
    ("60 Hz", "frequency", 60.0),
    ("12 V", "voltage", 12.0),
]
REFUSED = [
    ("5", "length", "has no unit; units that fit: in, ft"),
    ("5 gal/h", "length", "unit 'gal/h' does not fit here"),
    ("5 parsec", "length", "unit 'parsec' does not fit here"),
    ("five feet", "length", "is not a number with a unit"),
    ("1/0 in", "length", "divides by zero"),
    ("1-2 in", "length", "holds two numbers"),
    ("1e999 m", "length", "is too large to be a quantity"),
    ("12.000 BTU/h", "power", 'write "12 BTU/h" or "12000 BTU/h"'),
    ("1.500 L/h", "flow", 'write "1.5 L/h" or "1500 L/h"'),
    ("1,250 in", "length", 'write "1.25 in" or "1250 in"'),
    ("1,2,3 m", "length", "is not a number with a unit"),
    ("5' 6'", "length", "after feet only inches can follow"),
    ("3 ft 4 ft", "length", "after feet only inches can follow"),
    ("5 ft 6", "length", "after feet only inches can follow"),
    ("2:75", "time", "is not minutes and seconds"),
    ("2 m ft", "length", "does not fit here"),
    ("", "flow", "is not a number with a unit"),
    ("9" * 200 + " m", "length", "is not a quantity"),
    ("__import__('os') m", "length", "is not a number with a unit"),
]
WRITTEN = [
    ("1,5 bar", "pressure", "1.5 bar"),
    ("0,500 in", "length", "1/2 in"),
    ("0.500 in", "length", "1/2 in"),
    ("1.250 in", "length", "1-1/4 in"),
    ("1.234,5 mm", "length", "1234.5 mm"),
    ("1,234.5 mm", "length", "1234.5 mm"),
    ("1.500 L/min", "flow", "1.5 L/min"),
    ("12,000 BTU/h", "power", "12000 BTU/h"),
    ("12000 BTU", "power", "12000 BTU/h"),
    ("12 kBTU", "power", "12000 BTU/h"),
    ("1 TR", "power", "12000 BTU/h"),
    ("1.5 tons", "power", "18000 BTU/h"),
    ("1 ton of refrigeration", "power", "1 ton"),
    ("4 US gpm", "flow", "4 gal/min"),
    ("4 U.S. gal per min", "flow", "4 gal/min"),
    ("180 gallons per hour", "flow", "180 gal/h"),
    ("12 lpm", "flow", "12 L/min"),
    ("0,7 m3/h", "flow", "700 l/h"),
    ("3 mWC", "pressure", "3 mH2O"),
    ("3 m of water", "pressure", "3 mH2O"),
    ("30 in H2O", "pressure", "30 inH2O"),
    ("30 inches of water", "pressure", "30 inH2O"),
    ("300 mb", "pressure", "300 mbar"),
    ("5 inches of mercury", "pressure", "5 inHg"),
    ("5 in Hg", "pressure", "5 inHg"),
    ("9 ft of head", "pressure", "9 ftH2O"),
    ("9 ft of head", "length", "9 ft"),
    ("3 m head", "length", "3 m"),
    ("DN20", "length", "20 mm"),
    ("DN 25", "length", "25 mm"),
    ("3/4”", "length", "3/4 in"),
    ("3/4''", "length", "3/4 in"),
    ("5’ 6”", "length", "66 in"),
    ("5'6''", "length", "66 in"),
    ("5 ft 6-1/2 in", "length", "66.5 in"),
    ("5 feet 6 inches", "length", "66 in"),
    ("2:10", "time", "130 s"),
    ("1:02:10", "time", "3730 s"),
    ("1 min 10 s", "time", "70 s"),
    ("1 h 5 min", "time", "65 min"),
    ("115 V AC", "voltage", "115 V"),
    ("12 V DC", "voltage", "12 V"),
    ("12 volts dc", "voltage", "12 V"),
    ("10 amps", "current", "10 A"),
    ("85 F", "temperature", "85 degF"),
    ("85ºF", "temperature", "85 degF"),
    ("85 degrees F", "temperature", "85 degF"),
    ("29 C", "temperature", "29 degC"),
    ("10 F", "temperature_difference", "10 degF"),
    ("50 per cent", "ratio", "50 %"),
    ("60 hertz", "frequency", "60 Hz"),
    ("3/4-in", "length", "3/4 in"),
    ("1-1/4-in", "length", "1-1/4 in"),
    ("-4-in", "length", "-4 in"),
    ("12k BTU/h", "power", "12000 BTU/h"),
    ("12 K BTU/h", "power", "12000 BTU/h"),
]


@pytest.mark.parametrize(("text", "kind", "si_value"), EXACT)
def test_exact_definitions_and_the_trades_spellings(text: str, kind: str, si_value: float) -> None:
    assert parse(text, kind) == pytest.approx(si_value, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(("text", "kind", "why"), REFUSED)
def test_what_is_not_a_quantity_is_refused_with_the_reason(text: str, kind: str, why: str) -> None:
    with pytest.raises(UnitError) as refused:
        parse(text, kind)
    assert why in str(refused.value)


@pytest.mark.parametrize(("text", "kind", "same"), WRITTEN)
def test_spellings_of_the_trade_are_read(text: str, kind: Kind, same: str) -> None:
    assert parse(text, kind) == pytest.approx(parse(same, kind), rel=1e-12)


def usual_units() -> list[tuple[str, str]]:
    """Every unit that is read without the units library, with its kind."""
    alone = [(unit, kind) for kind in KINDS for unit in FACTORS.get(kind, {})]
    degrees = [(unit, "temperature") for unit in TEMPERATURE_SCALES]
    ratios = [
        (f"{above}/{below}", kind)
        for kind, over in (("flow", "volume"), ("speed", "length"), ("power", "energy"))
        for above in (*FACTORS[over], *(("m^3", "in^3") if over == "volume" else ()))
        for below in FACTORS["time"]
    ]
    powers = [(f"{u}^{n}", k) for k, n in (("area", 2), ("volume", 3)) for u in FACTORS["length"]]
    return [*alone, *degrees, *ratios, *powers]


def test_the_units_of_every_day_are_those_of_the_units_library() -> None:
    for unit, kind in usual_units():
        known = known_factor(unit, kind)
        computed = computed_factors(unit, unit, kind)
        assert known == pytest.approx(computed, rel=1e-13, abs=1e-9), (unit, kind)
        assert known is not None
        assert known[0] == pytest.approx(computed[0], rel=1e-13), (unit, kind)


def test_what_is_offered_and_shown_takes_no_units_library() -> None:
    for kind, (_, offers, _) in KINDS.items():
        for unit in offers.split(", "):
            assert known_factor(plain(unit, kind), kind) is not None


@given(st.floats(-1e6, 1e6), st.sampled_from(["in", "ft", "m", "cm", "mm"]))
def test_a_number_written_in_any_unit_reads_back(number: float, unit: str) -> None:
    scale, offset = factors(unit, "length")
    assert parse(f"{number!r} {unit}", "length") == pytest.approx(number * scale + offset)


_PINT: pint.UnitRegistry[float] = pint.UnitRegistry()


@given(st.integers(1, 4000), st.sampled_from([1, 2, 4, 8, 16]))
def test_a_length_is_one_number_in_whatever_unit(count: int, parts: int) -> None:
    """An inch is 25.4 mm by definition: whatever is exact in decimals is exact in every unit."""
    inches = count / parts
    millimetres = f"{count * 25.4 / parts:.8f}"
    texts = {
        f"{inches!r} in",
        f"{count}/{parts} in",
        f"{inches / 12!r} ft",
        f"{millimetres} mm",
        f"{float(millimetres) / 10:.9f} cm",
        f"{float(millimetres) / 1000:.11f} m",
    }
    assert len({parse(text, "length") for text in texts}) == 1
    whole = _PINT.Quantity(inches, "inch")
    assert TypeAdapter(Length).validate_python(whole) == parse(f"{inches!r} in", "length")


@given(
    st.sampled_from(
        [
            ("flow", "flow"),
            ("head", "length"),
            ("pressure", "pressure"),
            ("temperature", "temperature"),
            ("temperature_difference", "temperature_difference"),
            ("velocity", "speed"),
            ("heat", "power"),
        ]
    ),
    st.sampled_from(["us", "si"]),
    st.floats(-50, 50),
)
def test_shown_numbers_read_back(pair: tuple[str, str], system: str, value: float) -> None:
    quantity, kind = pair
    text = show(value, quantity, system, digits=12).replace(",", "")
    # Twelve decimal places of a psi are 7e-9 Pa.
    assert parse(text, kind) == pytest.approx(value, rel=1e-9, abs=1e-8)
    assert text.endswith(label(quantity, system))


def test_numbers_are_shown_as_the_trade_writes_them() -> None:
    assert show(0.01905, "bore", "us") == "3/4 in"
    assert show(0.03175, "bore", "us") == "1-1/4 in"
    assert show(0.0254, "bore", "us") == "1 in"
    assert show(0.01905, "bore", "si") == "19 mm"  # as 3/4 in is sold
    assert show(0.0508, "bore", "si") == "51 mm"
    assert show(0.0172, "bore", "si") == "17.2 mm"
    assert (show(115.0, "voltage", "us"), show(12.6, "voltage", "us")) == ("115 V", "12.6 V")
    assert show(-1e-9, "head", "us") == "0.0 ft"  # no minus nought
    assert show(math.nan, "flow", "us") == "—"
    assert show(math.inf, "temperature", "si") == "—"
    assert convert(0.3048, "head", "us") == pytest.approx(1.0)


def test_a_measured_value_has_its_half_width_in_its_own_unit_or_another() -> None:
    value, width = parse_measured("150 gal/h ± 10", "flow")
    assert (value, width) == pytest.approx((150 * GALLON / 3600, 10 * GALLON / 3600))
    assert parse_measured("2 m +/- 5 cm", "length") == pytest.approx((2.0, 0.05))
    # A half-width of temperature is a difference: no offset.
    assert parse_measured("85 degF ± 2", "temperature")[1] == pytest.approx(2 / 1.8)
    assert parse_measured("2 m", "length") == (2.0, None)
    for wrong in ("2 m ± 0", "2 m ± 5e-324", "2 m ± 1e400", "2 m ± -1", "2 m ± 1 ± 1"):
        with pytest.raises(UnitError):
            parse_measured(wrong, "length")


@pytest.mark.parametrize(
    ("text", "drop", "flow"),
    [
        ("2.2 psi at 240 gal/h", 2.2 * 6894.757293168361, 240 * GALLON / 3600),
        ("10 kPa @ 60 L/min", 1e4, 1e-3),
        ("1 ft at 60 L/min", FOOT * 9806.65, 1e-3),
    ],
)
def test_a_rating_is_a_drop_at_a_flow(text: str, drop: float, flow: float) -> None:
    rating = Rating.read(text)
    assert (rating.drop, rating.flow) == pytest.approx((drop, flow))


@pytest.mark.parametrize(
    "text", ["2 psi", "2 psi at", "at 3 gpm", "2 in^2 at 3 gpm", "0 psi at 3 gpm"]
)
def test_a_rating_of_another_form_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        Rating.read(text)


def test_a_field_takes_text_or_si_and_keeps_its_limits() -> None:
    bore: TypeAdapter[float] = TypeAdapter(Bore)
    assert bore.validate_python("3/4 in") == pytest.approx(0.01905)
    assert bore.validate_python(0.01905) == 0.01905
    assert bore.validate_python(0.002) == 0.002
    assert bore.validate_python(0.5) == 0.5
    for wrong, why in (
        (0.00199, "out of range"),
        (0.501, "out of range"),
        (math.nan, "out of range"),
        ("-1 in", "at least 0.07874 and at most 19.69 in"),
        (True, "not text with a unit"),
        ([1], "not text with a unit"),
    ):
        with pytest.raises(ValidationError, match=why):
            bore.validate_python(wrong)
    with pytest.raises(ValidationError, match="needs a unit"):
        bore.validate_python(0.75, context={"text": True})


def test_every_kind_reads_every_spelling_that_it_offers() -> None:
    for kind, (_, offers, _) in KINDS.items():
        for unit in offers.split(", "):
            assert math.isfinite(parse(f"1 {unit}", kind)), (kind, unit)
            assert unit_of(f"1 {unit}") == unit


@pytest.mark.parametrize("kind", ["length", "flow", "power", "temperature_difference"])
@pytest.mark.parametrize("unit", ["in^9^9^9^9", "in**9**9**9**9", "m^99", "(((m)))", "degF^9^9^9"])
def test_powers_of_powers_are_refused_and_not_worked_out(unit: str, kind: Kind) -> None:
    with pytest.raises(UnitError):
        parse(f"3 {unit}", kind)


def test_powers_are_read_however_they_are_spaced() -> None:
    spellings = ("m^3/h", "m³ / h", "m ^ 3 / h", "m**3/h", "m^3 per h")
    assert {parse(f"3.6 {unit}", "flow") for unit in spellings} == {1e-3}


def test_quantities_of_the_units_library_are_taken_where_text_is() -> None:
    quantity = pint.UnitRegistry().Quantity
    for number, theirs, text, kind in (
        (18, "inch", "18 in", "length"),
        (3, "gallon/minute", "3 gal/min", "flow"),
        (85, "degF", "85 degF", "temperature"),
        (10, "delta_degF", "10 degF", "temperature_difference"),
        (10, "degF", "10 degF", "temperature_difference"),
        (2, "psi", "2 psi", "pressure"),
        (12000, "Btu/hour", "12000 BTU/h", "power"),
        (50, "percent", "50 %", "ratio"),
        (90, "degree", "90 deg", "angle"),
        (60, "hertz", "60 Hz", "frequency"),
    ):
        assert si_number(quantity(number, theirs), kind) == pytest.approx(
            parse(text, kind), rel=1e-6
        )
    assert TypeAdapter(Bore).validate_python(quantity(0.75, "inch")) == pytest.approx(0.01905)
    with pytest.raises(ValidationError, match="'1 second' does not fit here; units that fit: in"):
        TypeAdapter(Bore).validate_python(quantity(1, "second"))


@pytest.mark.parametrize("text", ["8.630e+04 BTU/h", "8.63E4 BTU/h", "86300 BTU/h"])
def test_a_point_before_a_power_of_ten_parts_no_thousands(text):
    assert parse(text, "power") == pytest.approx(86300 * parse("1 BTU/h", "power"))


@pytest.mark.parametrize(
    ("text", "kind"), [("57 deg", "ratio"), ("0.5 rad", "ratio"), ("12 %", "angle")]
)
def test_a_handle_s_angle_is_no_share_and_a_share_no_angle(text, kind):
    # 57 degrees are 0.99 radians: read as a share, a seacock nearly shut would be wide open.
    with pytest.raises(UnitError):
        parse(text, kind)
    number, unit = text.split()
    with pytest.raises(UnitError):
        si_number(pint.UnitRegistry().Quantity(float(number), unit), kind)


@pytest.mark.parametrize("text", ["3 hp", "3HP", "1.5 hp"])
def test_cooling_is_not_read_in_horsepower_which_says_how_large_the_compressor_is(text):
    with pytest.raises(ValidationError, match="compressor"):
        TypeAdapter(Cooling).validate_python(text)
    assert TypeAdapter(Cooling).validate_python("1 ton") == pytest.approx(3516.85, rel=1e-5)


def test_two_numbers_are_not_one_with_a_hyphen() -> None:
    with pytest.raises(UnitError, match="two numbers"):
        parse("10-20 in", "length")
