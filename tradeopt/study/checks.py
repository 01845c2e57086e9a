"""Reading objectives and limits: what of a study refers to what its stages give."""

import re

from tradeopt import units
from tradeopt.errors import UnitError
from tradeopt.quantities import JOINTS, Quantity
from tradeopt.stages.registry import REQUIRED_SLOTS
from tradeopt.study.fields import one_of, spoken
from tradeopt.study.layout import entries_form, is_said, value_at
from tradeopt.study.problem import Limit, Objective
from tradeopt.study.reading import Reading

LIMIT_FORM = "'<= value' or '>= value' in quotes, such as '<= 80 kg'"
"""What a limit looks like, in words."""

_LIMIT = re.compile(r"\s*(<=|>=)\s*(.*)", re.DOTALL)
_KELVIN_SCALE = 100.0
"""What counts as one whole miss of a temperature limit [K]; a share of one means nothing."""


def read_objectives(reading: Reading) -> tuple[Objective, ...]:
    """Return the objectives that can be read; the others are reported."""
    single = {name: one for name, one in reading.quantities.items() if one.axes == ("design",)}
    found = []
    section = reading.section("objectives")
    for name, direction in section.items():
        quantity = single.get(name)
        if quantity is not None:
            found.append(Objective(name, quantity.unit, direction == "highest"))
        elif name in reading.quantities:
            axes = " and ".join(reading.quantities[name].axes[1:])
            got = f"{name!r}, which has a value for every {axes}"
            want = "a quantity with one value a design, such as range or total_mass"
            reading.report(("objectives", name), got, want, key=True)
        else:
            why = "which no stage of this study gives"
            want = "a quantity with one value a design, such as range or total_mass"
            reading.report_name(("objectives", name), single, why=why, want=want)
    if not section and isinstance(reading.document.data.get("objectives"), dict):
        want = "at least one quantity, such as 'range: highest'"
        reading.report(("objectives",), "an empty table", want)
    return tuple(found)


def read_limits(reading: Reading) -> tuple[Limit, ...]:
    """Return the study's own limits and, at 0, every margin that it does not mention."""
    found = {
        name: Limit(name, "1", 0.0, at_most=False, scale=1.0)
        for name, quantity in reading.quantities.items()
        if quantity.is_margin
    }
    for name, text in reading.section("limits").items():
        quantity = _limited(reading, name)
        if quantity is not None and isinstance(text, str):
            limit = _limit(reading, name, text, quantity)
            found.update({name: limit} if limit else {})
    return tuple(found.values())


def _limited(reading: Reading, name: str) -> Quantity | None:
    """Return the quantity that a limit is about, if there is one and it has a size."""
    base, dot, joint = name.partition(".")
    at = ("limits", name)
    quantity = reading.quantities.get(base)
    if quantity is None or "inertial" in quantity.axes:
        why = "which no stage of this study gives as a number"
        known = [name for name, one in reading.quantities.items() if "inertial" not in one.axes]
        reading.report_name(at, known, why=why, want="a quantity, or one at a joint")
        return None
    if not dot or ("joint" in quantity.axes[1:2] and joint in JOINTS):
        return quantity
    if "joint" in quantity.axes[1:2]:
        why = f"where {spoken(joint)} is no joint"
        known = [f"{base}.{one}" for one in JOINTS]
        reading.report_name(at, known, why=why, want=f"{base} alone or with {one_of(JOINTS)}")
    else:
        reading.report(at, f"{spoken(name)}, which has no joints", f"{base!r} alone", key=True)
    return None


def _limit(reading: Reading, name: str, text: str, quantity: Quantity) -> Limit | None:
    at = ("limits", name)
    match = _LIMIT.fullmatch(text)
    if match is None:
        reading.report(at, spoken(text), LIMIT_FORM)
        return None
    try:
        value = units.to_si(match[2], quantity.unit)
    except UnitError as error:
        reading.report_unit(at, error)
        return None
    at_most = match[1] == "<="
    if at_most and quantity.is_margin:
        want = f"'>= {match[2]}': a margin is what is left, and more of it is no fault"
        reading.report(at, spoken(text), want)
        return None
    own_scale = 1.0 if quantity.is_margin else abs(value) or 1.0  # a margin is a share already
    scale = _KELVIN_SCALE if quantity.unit == "K" else own_scale
    return Limit(name, quantity.unit, value, at_most=at_most, scale=scale)


def check_entries(reading: Reading) -> None:
    """Report named entries, such as gaits, that every study needs and this one has none of.

    Where their table is no table the model reports it.
    """
    data = reading.document.data
    for slot in reading.layout.empty:
        said = is_said(data, slot.table)
        if slot.name in REQUIRED_SLOTS and (not said or value_at(data, slot.table) == {}):
            got = "an empty table" if said else "nothing"
            reading.report(tuple(slot.table.split(".")), got, entries_form(slot))
