"""Text with units: what is read, what is refused and in which words."""

import math
import subprocess
import sys
import time

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tradeopt import unit_tables, units
from tradeopt.errors import UnitError

# Factors: The International System of Units, 9th edition, 2019, tables 4 (derived units), 7
# (prefixes) and 8 (minute, hour, day, degree); the rest is arithmetic on those.
READ = [
    ("35 N*m", "N*m", 35.0),
    ("35 Nm", "N*m", 35.0),
    ("35 N m", "N*m", 35.0),
    ("35 N·m", "N*m", 35.0),
    ("35N·m", "N*m", 35.0),
    ("2 mNm", "N*m", 0.002),
    ("40 degC", "K", 313.15),
    ("40 °C", "K", 313.15),
    ("-273.15 degC", "K", 0.0),
    ("300 K", "K", 300.0),
    ("30 K", "delta_K", 30.0),
    ("10 %", "1", 0.1),
    ("0.1", "1", 0.1),
    ("-3", "1", -3.0),
    ("1e-4 kg*m^2", "kg*m^2", 1e-4),
    ("1e-4 kg·m²", "kg*m^2", 1e-4),
    ("1e-4 kg m**2", "kg*m^2", 1e-4),
    ("2000 mm^4", "m^4", 2e-9),
    ("300 rpm", "rad/s", 10.0 * math.pi),
    ("2 rev/s", "rad/s", 4.0 * math.pi),
    ("15 deg", "rad", math.pi / 12.0),
    ("15°", "rad", math.pi / 12.0),
    ("0.5 rad", "rad", 0.5),
    ("4.5 Ah", "A*s", 16200.0),
    ("2.5 h", "s", 9000.0),
    ("60 min", "s", 3600.0),
    ("2 day", "s", 172800.0),
    ("120 Wh/kg", "J/kg", 432000.0),
    ("1.2 kWh", "J", 4.32e6),
    ("0.3 W/K", "W/K", 0.3),
    ("10 W/(m^2*K)", "W/(m^2*K)", 10.0),
    ("10 W/m^2/K", "W/(m^2*K)", 10.0),
    ("5 mohm", "ohm", 0.005),
    ("5 mΩ", "ohm", 0.005),
    ("12 mm", "m", 0.012),
    ("12mm", "m", 0.012),
    ("3 km", "m", 3000.0),
    ("3.6 km/h", "m/s", 1.0),
    ("9.81 m s⁻²", "m/s^2", 9.81),
    ("80 uH", "H", 80e-6),
    ("80 µH", "H", 80e-6),
    ("5 mWb", "Wb", 0.005),
    ("1 N*m*s/rad", "N*m*s/rad", 1.0),
    ("2 N*m/deg", "N*m/rad", 360.0 / math.pi),
    ("0.4 N*m/W^0.5", "N*m/W^0.5", 0.4),
    ("2 1/h", "1/s", 2.0 / 3600.0),
    ("20 kHz", "Hz", 20000.0),
    ("70 MPa", "Pa", 70e6),
    ("8.5 USD", "USD", 8.5),
    ("8.5 EUR/kg", "EUR/kg", 8.5),
    ("+.5 m", "m", 0.5),
    ("\u22125 mm", "m", -0.005),
]


@pytest.mark.parametrize(("text", "unit", "value"), READ)
def test_text_becomes_the_si_value(text: str, unit: str, value: float) -> None:
    assert units.to_si(text, unit) == pytest.approx(value, rel=1e-12, abs=1e-12)


REFUSED = [
    ("", "m", r"got nothing, want a length in m, such as '400 mm'"),
    ("   ", "m", r"got nothing"),
    ("12", "m", r"got '12', a number without a unit, want a length in m"),
    ("m", "m", r"does not start with a number"),
    ("nan kg", "kg", r"got 'nan kg', which does not start with a number, want a mass"),
    ("inf", "1", r"does not start with a number"),
    ("1e400 m", "m", r"which is too large"),
    ("1e999", "1", r"which is too large"),
    ("1,2 m", "m", r"a comma is not a decimal point, write '1\.2 m'"),
    ("6 kg", "m", r"got '6 kg', which is a mass, want a length in m, such as '400 mm'"),
    ("6 kg^3", "m", r"got '6 kg\^3', which is something else"),
    ("9**9**8 kg", "kg", r"is not a unit, want a mass"),
    ("5 m^99", "m", r"the power 99 is not a whole number up to 4"),
    ("5 m^1.5", "m", r"the power 1\.5 is not a whole number up to 4"),
    ("5 furlong", "m", r"'furlong' is not a known unit"),
    ("5 KG", "kg", r"\(near: 'kg'\)"),
    ("5 nm", "N*m", r"\(near: 'Nm'\)"),
    ("30 degC", "delta_K", r"a point on the Celsius scale, want a temperature difference in K"),
    ("30 delta_K", "delta_K", r"not a unit"),
    ("1 W/degC", "W/K", r"write K in a product \(near: 'K'\)"),
    ("-300 degC", "K", r"below absolute zero"),
    ("-1 K", "K", r"below absolute zero"),
    ("5 deg", "1", r"which is an angle, want a plain number or share, such as '10 %' or '0\.1'"),
    ("5 %", "rad", r"which is a plain number or share, want an angle in rad"),
    ("5 Hz", "rad/s", r"one Hz is one turn a second, write 'rev/s'"),
    ("120 N*m", "N*m/rad", r"a stiffness is a torque per angle"),
    ("1 W/m K", "W/(m*K)", r"ambiguous after the '/'.*brackets, as in 'W/\(m\*K\)'"),
    ("5 USD", "EUR", r"want a price in EUR"),
    ("5 m//s", "m/s", r"a unit is missing"),
    ("5 m*", "m", r"a unit is missing"),
    ("1_0 m", "m", r"'_0' is not a unit"),
    ("1 000 m", "m", r"'000' is not a unit"),
    ("5 1", "1", r"two numbers"),
    ("\u0663 m", "m", r"does not start with a number"),
    ("x" * 65, "m", r"of 65 characters"),
    ("1" * 10_000_000, "m", r"of 10000000 characters"),
]


@pytest.mark.parametrize(
    ("text", "unit", "message"), REFUSED, ids=[text[:20] for text, _, _ in REFUSED]
)
def test_what_is_wrong_is_told_in_words(text: str, unit: str, message: str) -> None:
    with pytest.raises(UnitError, match=message):
        units.to_si(text, unit)


def test_an_error_carries_its_parts() -> None:
    with pytest.raises(UnitError, match="known unit") as caught:
        units.to_si("5 KG", "kg")
    assert caught.value.got == "'5 KG', where 'KG' is not a known unit"
    assert caught.value.want == "a mass in kg, such as '6 kg'"
    assert caught.value.near == "kg"


@pytest.mark.parametrize(
    "text", ["9**9**8 kg", "9^9^8 kg", "1 m" + "^9" * 30, "(" * 60, "1 " + "/" * 60]
)
def test_a_hostile_text_is_refused_at_once(text: str) -> None:
    units.to_si("1 kg", "kg")  # the unit library is read in on first use
    start = time.process_time()
    with pytest.raises(UnitError, match="want a mass"):
        units.to_si(text, "kg")
    assert time.process_time() - start < 0.5


UNIT_LIKE = st.text(alphabet="kmNsAWhradeg%CKJ0123456789.*/^()-·² ", max_size=24)
NUMBER_LIKE = st.floats(-1e6, 1e6).map(repr)


def read_or_refuse(text: str, unit: str) -> float | UnitError:
    try:
        return units.to_si(text, unit)
    except UnitError as error:
        return error


@given(
    st.one_of(st.text(max_size=80), st.tuples(NUMBER_LIKE, UNIT_LIKE).map(" ".join)),
    st.sampled_from(sorted(unit_tables.KINDS)),
)
def test_any_text_gives_a_finite_number_or_a_unit_error(text: str, unit: str) -> None:
    result = read_or_refuse(text, unit)
    if isinstance(result, UnitError):
        assert result.want.startswith(unit_tables.wanted(unit))
    else:
        assert math.isfinite(result)


REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()


@pytest.mark.parametrize("symbol", sorted(unit_tables.TOKENS))
def test_every_symbol_agrees_with_the_full_unit_library(symbol: str) -> None:
    """Twin: the factors of the library's own definitions, which share nothing with ours."""
    name = unit_tables.TOKENS[symbol]
    if name in {"dollar", "euro"}:
        assert units.to_si(f"1 {symbol}", symbol) == 1.0
        return
    base = REGISTRY.Quantity(
        1.0, name.replace("_meter", "*meter").replace("_per_", "/")
    ).to_base_units()
    si_unit = "1" if base.dimensionless and "radian" not in str(base.units) else f"{base.units:~C}"
    wanted = {"": "1", "rad": "rad"}.get(si_unit, si_unit).replace("**", "^")
    assert units.to_si(f"1 {symbol}", _bracketed(wanted)) == pytest.approx(
        base.magnitude, rel=1e-12
    )


def _bracketed(unit: str) -> str:
    """Write several divisors, which the library strings together, as one bracket."""
    over, *under = unit.split("/")
    return f"{over}/({'*'.join(under)})" if len(under) > 1 else unit


@pytest.mark.parametrize("unit", sorted(unit_tables.KINDS))
def test_the_example_in_each_message_is_itself_read(unit: str) -> None:
    _, example = unit_tables.KINDS[unit]
    for text in example.split("' or '"):
        assert math.isfinite(units.to_si(text, unit))


@given(
    st.sampled_from(sorted(set(unit_tables.KINDS) - {"K"})),
    st.floats(1e-12, 1e12),
    st.sampled_from([-1.0, 1.0]),
    st.integers(2, 9),
)
def test_what_is_shown_reads_back_within_its_digits(
    unit: str, size: float, sign: float, digits: int
) -> None:
    value = sign * size
    again = units.to_si(units.show(value, unit, digits), unit)
    assert again == pytest.approx(value, rel=0.5001 * 10.0 ** (1 - digits))


@given(st.floats(1.0, 5000.0))
def test_a_temperature_shown_reads_back_within_its_digits(temperature: float) -> None:
    shown = units.show(temperature, "K", digits=6)
    assert shown.endswith(" degC")
    # Six digits of at most 4727 degC: half a unit of the second decimal.
    assert units.to_si(shown, "K") == pytest.approx(temperature, abs=0.00501)


@pytest.mark.parametrize(
    ("value", "unit", "display", "shown"),
    [
        (313.15, "K", None, "40 degC"),
        (273.15, "K", None, "0 degC"),
        (30.0, "delta_K", None, "30 K"),
        (math.pi / 12.0, "rad", None, "15 deg"),
        (9000.0, "s", "h", "2.5 h"),
        (9000.0, "s", None, "9000 s"),
        (0.1, "1", "%", "10 %"),
        (0.1, "1", None, "0.1"),
        (16200.0, "A*s", None, "4.5 Ah"),
        (1234567.0, "W", None, "1235000 W"),
        (0.00012346, "kg*m^2", None, "0.0001235 kg*m^2"),
        (1.5e-7, "kg*m^2", None, "1.5e-07 kg*m^2"),
        (9.9999e6, "N", None, "1e+07 N"),
        (99.999, "kg", None, "100 kg"),
        (-12.3456, "N*m", None, "-12.35 N*m"),
        (-0.0, "m", None, "0 m"),
        (math.nan, "m", None, "no value"),
        (math.inf, "s", None, "infinite"),
        (-math.inf, "s", None, "-infinite"),
    ],
)
def test_values_are_shown_as_the_trade_reads_them(
    value: float, unit: str, display: str | None, shown: str
) -> None:
    assert units.show(value, unit, display=display) == shown


def test_an_unfit_unit_to_show_in_is_refused() -> None:
    with pytest.raises(UnitError, match=r"got 'kg', want a length in m"):
        units.from_si(1.0, "m", "kg")


def test_arrays_convert_element_by_element_and_back() -> None:
    column = np.array([[-40.0, 0.0], [20.0, np.nan]])
    kelvin = units.convert(column, "°C", "K")
    np.testing.assert_allclose(kelvin, [[233.15, 273.15], [293.15, np.nan]], rtol=1e-14)
    np.testing.assert_allclose(units.from_si(kelvin, "K"), column, atol=1e-12)


@pytest.mark.parametrize(
    ("unit_text", "message"),
    [
        ("kg", r"got 'kg', which is a mass, want an angle in rad"),
        ("m" * 70, r"too long for a unit, want an angle"),
        ("dg", r"'dg' is not a known unit.*\(near: '.*g'\)"),
    ],
)
def test_an_unfit_unit_of_a_column_is_refused(unit_text: str, message: str) -> None:
    with pytest.raises(UnitError, match=message):
        units.convert(np.zeros(2), unit_text, "rad")


def test_an_unknown_kind_of_value_is_still_described() -> None:
    assert unit_tables.wanted("kg/s") == "a value in kg/s, such as '1 kg/s'"


def test_the_unit_library_is_not_imported_before_it_is_needed() -> None:
    code = (
        "import sys, tradeopt.units as u; before = 'pint' in sys.modules; u.to_si('1 m', 'm');"
        "print(before, 'pint' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.split() == ["False", "True"]
