"""Text with units to SI and back: exact definitions, spellings, refusals, round trips."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from loop.units import (
    Bore,
    Rating,
    UnitError,
    convert,
    label,
    parse,
    parse_measured,
    show,
)
from loop.units.definitions import KINDS, Kind
from loop.units.text import factors, unit_of

FOOT, GALLON = 0.3048, 3.785411784e-3  # definitions: 1959 agreement; 231 in³


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
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
    ],
)
def test_exact_definitions_and_the_trades_spellings(text: str, kind: str, si: float) -> None:
    assert parse(text, kind) == pytest.approx(si, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "why"),
    [
        ("5", "length", "has no unit; units that fit: in, ft"),
        ("5 gal/h", "length", "unit 'gal/h' does not fit here"),
        ("5 parsec", "length", "unit 'parsec' does not fit here"),
        ("five feet", "length", "is not a number with a unit"),
        ("1/0 in", "length", "divides by zero"),
        ("1-2 in", "length", "holds two numbers"),
        ("1e999 m", "length", "is not a finite number"),
        ("", "flow", "is not a number with a unit"),
        ("9" * 200 + " m", "length", "is not a quantity"),
        ("__import__('os') m", "length", "is not a number with a unit"),
    ],
)
def test_what_is_not_a_quantity_is_refused_with_the_reason(text: str, kind: str, why: str) -> None:
    with pytest.raises(UnitError) as refused:
        parse(text, kind)
    assert why in str(refused.value)


@given(st.floats(-1e6, 1e6), st.sampled_from(["in", "ft", "m", "cm", "mm"]))
def test_a_number_written_in_any_unit_reads_back(number: float, unit: str) -> None:
    scale, offset = factors(unit, "length")
    assert parse(f"{number!r} {unit}", "length") == pytest.approx(number * scale + offset)


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
    # Twelve digits after the point of a psi are 7e-9 Pa.
    assert parse(text, kind) == pytest.approx(value, rel=1e-9, abs=1e-8)
    assert text.endswith(label(quantity, system))


def test_numbers_are_shown_as_the_trade_writes_them() -> None:
    assert show(0.01905, "bore", "us") == "3/4 in"
    assert show(0.03175, "bore", "us") == "1-1/4 in"
    assert show(0.0254, "bore", "us") == "1 in"
    assert show(0.01905, "bore", "si") == "19.1 mm"  # 19.05 to a tenth
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
    for wrong in ("2 m ± 0", "2 m ± -1", "2 m ± 1 ± 1"):
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
    for kind, (_, offers) in KINDS.items():
        for unit in offers.split(", "):
            assert math.isfinite(parse(f"1 {unit}", kind)), (kind, unit)
            assert unit_of(f"1 {unit}") == unit


@pytest.mark.parametrize("kind", ["length", "flow", "power", "temperature_difference"])
@pytest.mark.parametrize("unit", ["in^9^9^9^9", "in**9**9**9**9", "m^99", "(((m)))", "degF^9^9^9"])
def test_powers_of_powers_are_refused_and_not_reckoned_out(unit: str, kind: Kind) -> None:
    with pytest.raises(UnitError):
        parse(f"3 {unit}", kind)


def test_powers_are_read_however_they_are_spaced() -> None:
    spellings = ("m^3/h", "m³ / h", "m ^ 3 / h", "m**3/h", "m^3 per h")
    assert {parse(f"3.6 {unit}", "flow") for unit in spellings} == {1e-3}
