"""The units that may be written: symbols, factors, words for them, and how they are shown."""

DEFINITIONS = """
pico- = 1e-12
nano- = 1e-9
micro- = 1e-6
milli- = 1e-3
centi- = 1e-2
hecto- = 1e2
kilo- = 1e3
mega- = 1e6
giga- = 1e9
meter = [length]
gram = [mass]
second = [time]
ampere = [current]
kelvin = [temperature]
radian = [angle]
dollar = [dollar]
euro = [euro]
percent = 0.01
minute = 60 * second
hour = 3600 * second
day = 86400 * second
degree = 0.017453292519943295 * radian
revolution = 6.283185307179586 * radian
revolution_per_minute = revolution / minute
hertz = 1 / second
newton = kilogram * meter / second ** 2
newton_meter = newton * meter
joule = newton * meter
watt = joule / second
watt_hour = watt * hour
ampere_hour = ampere * hour
volt = watt / ampere
ohm = volt / ampere
henry = volt * second / ampere
farad = ampere * second / volt
weber = volt * second
tesla = weber / meter ** 2
pascal = newton / meter ** 2
bar = 100000 * pascal
"""
"""What every unit is made of, for the unit library.

Factors from The International System of Units, 9th edition, 2019, tables 4, 7 and 8. The angle is
a base dimension here, which the SI leaves out. Money has no rate of exchange: each currency stands
alone.
"""

_PREFIXES = {
    "p": "pico",
    "n": "nano",
    "u": "micro",
    "m": "milli",
    "c": "centi",
    "h": "hecto",
    "k": "kilo",
    "M": "mega",
    "G": "giga",
}

# Symbol: its name in the definitions, and the prefixes that the trade puts before it.
_SYMBOLS = {
    "m": ("meter", "umck"),
    "g": ("gram", "umk"),
    "s": ("second", "num"),
    "A": ("ampere", "umk"),
    "K": ("kelvin", "m"),
    "rad": ("radian", "um"),
    "deg": ("degree", ""),
    "rev": ("revolution", ""),
    "rpm": ("revolution_per_minute", ""),
    "%": ("percent", ""),
    "min": ("minute", ""),
    "h": ("hour", ""),
    "day": ("day", ""),
    "Hz": ("hertz", "kM"),
    "N": ("newton", "mkM"),
    "Nm": ("newton_meter", "mk"),
    "J": ("joule", "umkM"),
    "W": ("watt", "umkM"),
    "Wh": ("watt_hour", "mkM"),
    "Ah": ("ampere_hour", "m"),
    "V": ("volt", "umk"),
    "ohm": ("ohm", "umkM"),
    "H": ("henry", "num"),
    "F": ("farad", "pnum"),
    "Wb": ("weber", "um"),
    "T": ("tesla", "um"),
    "Pa": ("pascal", "hkMG"),
    "bar": ("bar", "m"),
    "USD": ("dollar", ""),
    "EUR": ("euro", ""),
}

TOKENS = {symbol: name for symbol, (name, _) in _SYMBOLS.items()} | {
    prefix + symbol: _PREFIXES[prefix] + name
    for symbol, (name, prefixes) in _SYMBOLS.items()
    for prefix in prefixes
}
"""Every unit symbol that may be written, and its name in the definitions."""

KINDS = {
    "1": ("a plain number or share", "10 %' or '0.1"),
    "m": ("a length", "400 mm"),
    "m^2": ("an area", "50 cm^2"),
    "m^3": ("a volume", "50 cm^3"),
    "m^4": ("a second moment of area", "2000 mm^4"),
    "m/s": ("a speed", "0.6 m/s"),
    "m/s^2": ("an acceleration", "9.81 m/s^2"),
    "kg": ("a mass", "6 kg"),
    "kg/m": ("a mass per length", "0.4 kg/m"),
    "kg/m^3": ("a density", "2700 kg/m^3"),
    "kg*m^2": ("a moment of inertia", "1e-4 kg*m^2"),
    "s": ("a time", "0.7 s"),
    "1/s": ("a rate", "2e-5 1/h"),
    "Hz": ("a frequency", "20 kHz"),
    "rad": ("an angle", "15 deg"),
    "rad/s": ("a speed of rotation", "300 rpm"),
    "rad/s^2": ("an angular acceleration", "40 rad/s^2"),
    "N": ("a force", "800 N"),
    "N*m": ("a torque", "35 N*m"),
    "N*m/rad": ("a stiffness", "120 N*m/rad"),
    "N*m*s/rad": ("a damping", "0.1 N*m*s/rad"),
    "N*m/A": ("a torque constant", "0.09 N*m/A"),
    "J": ("an energy", "650 Wh"),
    "J/kg": ("an energy per mass", "120 Wh/kg"),
    "J/K": ("a heat capacity", "200 J/K"),
    "J/(kg*K)": ("a specific heat", "385 J/(kg*K)"),
    "W": ("a power", "45 W"),
    "W/K": ("a thermal conductance", "0.3 W/K"),
    "K/W": ("a thermal resistance", "0.5 K/W"),
    "W/(m*K)": ("a thermal conductivity", "0.3 W/(m*K)"),
    "W/(m^2*K)": ("a heat transfer coefficient", "10 W/(m^2*K)"),
    "K": ("a temperature", "40 degC"),
    "delta_K": ("a temperature difference", "30 K"),
    "1/K": ("a temperature coefficient", "0.00393 1/K"),
    "A": ("a current", "20 A"),
    "A*s": ("a charge", "4.5 Ah"),
    "V": ("a voltage", "48 V"),
    "ohm": ("a resistance", "5 mohm"),
    "H": ("an inductance", "80 uH"),
    "F": ("a capacitance", "470 uF"),
    "Wb": ("a flux linkage", "5 mWb"),
    "Pa": ("a stress or pressure", "70 MPa"),
    "USD": ("a price", "8.5 USD"),
    "EUR": ("a price", "8.5 EUR"),
}
"""By SI unit: what it measures, and a worked example."""

DISPLAY = {
    "1": "",
    "K": "degC",
    "delta_K": "K",
    "rad": "deg",
    "A*s": "Ah",
    "ohm": "mohm",
    "H": "uH",
    "Wb": "mWb",
    "Pa": "MPa",
}
"""By SI unit: the unit the trade reads it in, where that is another one."""

LOOKALIKES = str.maketrans(
    {
        "\N{OHM SIGN}": "ohm",
        "\N{GREEK CAPITAL LETTER OMEGA}": "ohm",
        "\N{MICRO SIGN}": "u",
        "\N{GREEK SMALL LETTER MU}": "u",
        "\N{DEGREE CELSIUS}": "degC",
        "\N{DEGREE SIGN}": "deg",
        "\N{MIDDLE DOT}": "*",
        "\N{DOT OPERATOR}": "*",
        "\N{MULTIPLICATION SIGN}": "*",
        "\N{MINUS SIGN}": "-",
        "\N{NO-BREAK SPACE}": " ",
        "\N{NARROW NO-BREAK SPACE}": " ",
        "\N{THIN SPACE}": " ",
    }
)
RAISED = "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"
RAISED_TO_PLAIN = str.maketrans(RAISED, "-0123456789")


def wanted(unit: str) -> str:
    """
    Say in words what a unit asks for, with an example.

    Parameters
    ----------
    unit : str
        SI unit.

    Returns
    -------
    str
        Such as ``a length in m, such as '400 mm'``.

    Examples
    --------
    >>> wanted("m")
    "a length in m, such as '400 mm'"
    """
    kind, example = KINDS.get(unit, ("a value", f"1 {unit}"))
    place = "" if unit == "1" else f" in {'K' if unit == 'delta_K' else unit}"
    return f"{kind}{place}, such as '{example}'"
