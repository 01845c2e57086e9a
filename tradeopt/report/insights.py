"""What insight found, as tables for a reader."""

from collections.abc import Mapping, Sequence

import numpy as np

from tradeopt import units
from tradeopt.arrays import Array
from tradeopt.insight.assumptions import Assumption
from tradeopt.insight.spreads import Tornado, VarianceShares
from tradeopt.insight.tightness import Tightness
from tradeopt.insight.worth import Found, Worth
from tradeopt.quantities import Quantity
from tradeopt.report.amount import Amount, Cell, amount, amount_of, size_of
from tradeopt.report.limits import distance, margin_words
from tradeopt.report.section import Section
from tradeopt.report.view import spoken
from tradeopt.search import front as fronts
from tradeopt.search.designs import Outline

MOST_LIMITS = 10
"""Limits that are shown of the tightest."""

MOST_SWINGS = 12
"""Assumptions that are shown of a tornado."""

Quantities = Mapping[str, Quantity]


def bounded(quantities: Quantities, limit: str) -> Quantity:
    """Return the quantity that a limit is about."""
    return quantities[limit.partition(".")[0]]


def _difference(quantity: Quantity, value: float) -> Amount:
    """Return a difference of two values of a quantity."""
    return amount(value, "delta_K") if quantity.unit == "K" else amount_of(quantity, value)


def _one(quantity: Quantity) -> float:
    """Return one unit that a quantity is read in, in SI."""
    shown = _difference(quantity, 1.0)
    return 1.0 / float(units.from_si(1.0, shown.unit, shown.shown_in))


def tight_section(
    outline: Outline, quantities: Quantities, found: Tightness, price: tuple[Array, Array]
) -> Section:
    """
    Tell the limits that a front comes nearest to, and what moving them would win.

    Parameters
    ----------
    outline : Outline
        Objectives and limits.
    quantities : mapping of str to Quantity
        What they bound.
    found : Tightness
        Of the front.
    price : tuple of Array
        Shape (limit, objective): prices at one design, and the usual ones on the front.

    Returns
    -------
    Section
        The limits that are active most often first.
    """
    order = np.lexsort((found.median, -found.active))[:MOST_LIMITS].tolist()
    rows: list[tuple[Cell, ...]] = []
    for place in order:
        limit = outline.limits[place]
        quantity = bounded(quantities, limit.name)
        left = [
            str(distance(limit, quantity, float(share[place])))
            for share in (found.least, found.median)
        ]
        won = [
            cell
            for column, one in enumerate(outline.objectives)
            for cell in _won(quantities[one.name], quantity, price, (place, column))
        ]
        step = str(_difference(quantity, _one(quantity)))
        rows.append((spoken(limit.name), amount(found.active[place], "1", "%"), *left, step, *won))
    names = [
        f"{one.name}_won_{where}"
        for one in outline.objectives
        for where in ("here", "on_the_front")
    ]
    heads = ("limit", "active_in", "least_left", "median_left", "relaxed_by", *names)
    return Section("tight_limits", "Tightest limits", heads, tuple(rows))


def _won(
    objective: Quantity, bounds: Quantity, price: tuple[Array, Array], place: tuple[int, int]
) -> list[Cell]:
    """Return what one unit of a limit wins of one objective, here and on the front."""
    values = (float(one[place]) for one in price)
    return [
        str(_difference(objective, value * _one(bounds))) if np.isfinite(value) else "no slope"
        for value in values
    ]


def exchange_words(outline: Outline, quantities: Quantities, slope: float) -> str:
    """
    Say what a design would win of one objective for a step back in the other.

    Parameters
    ----------
    outline : Outline
        Two objectives.
    quantities : mapping of str to Quantity
        What they are.
    slope : float
        By how much the first one gets worse as the second gets better by one, SI.

    Returns
    -------
    str
        Such as ``0.9 km less range for each 1 kg less total mass``.
    """
    first, second = outline.objectives
    step = _one(quantities[second.name])
    lost = _difference(quantities[first.name], slope * step)
    won = _difference(quantities[second.name], step)
    return (
        f"{lost} {'less' if first.highest else 'more'} {spoken(first.name)} for each "
        f"{won} {'more' if second.highest else 'less'} {spoken(second.name)}"
    )


def tornado_section(
    outline: Outline, quantities: Quantities, assumptions: Sequence[Assumption], found: Tornado
) -> Section:
    """
    Tell what each assumption alone does to the objectives.

    Parameters
    ----------
    outline : Outline
        Objectives.
    quantities : mapping of str to Quantity
        What they are.
    assumptions : sequence of Assumption
        What was shifted.
    found : Tornado
        Outcomes: objectives, then violations.

    Returns
    -------
    Section
        Changes of the objectives at both ends of each spread; the largest change of the first
        objective first.
    """
    wanted = len(outline.objectives)
    swing = found.swing()[:, :wanted]
    order = np.lexsort([-column for column in swing.T[::-1]])[:MOST_SWINGS].tolist()
    rows: list[tuple[Cell, ...]] = []
    for place in order:
        if swing[place].max() > 0.0:
            changes = [
                _difference(
                    quantities[one.name], float(end[place, column] - found.nominal[column])
                )
                for column, one in enumerate(outline.objectives)
                for end in (found.low, found.high)
            ]
            rows.append((short(assumptions[place].name), assumptions[place].spread, *changes))
    heads = [f"{one.name}_{end}" for one in outline.objectives for end in ("low", "high")]
    remark = (
        "one at a time, the design as drawn; changes at the low and the high end of the spread. "
        "The study states no spreads: those here are assumed"
    )
    return Section(
        "tornado", "Sensitivity", ("assumption", "spread", *heads), tuple(rows), remark, labels=2
    )


def short(path: str) -> str:
    """
    Write the path of assumptions the way it is read.

    Parameters
    ----------
    path : str
        Such as ``robot.drives.*.motor.family.torque_constant``.

    Returns
    -------
    str
        Without what every path has in common.

    Examples
    --------
    >>> short("robot.drives.*.motor.family.torque_constant"), short("robot.battery.cell.voltage_*")
    ('drives motor family torque constant', 'battery cell voltage curve')
    >>> short("robot.drives.knee.cooling")
    'knee cooling'
    """
    words = path.removeprefix("robot.").replace("_*", " curve")
    words = words.replace("*.", "") if "*." in words else words.removeprefix("drives.")
    return words.replace(".", " ").replace("_", " ")


def robust_section(
    outline: Outline, quantities: Quantities, nominal: Array, drawn: Array
) -> Section:
    """
    Tell how a design does when all assumptions are off at once.

    Parameters
    ----------
    outline : Outline
        Objectives and limits.
    quantities : mapping of str to Quantity
        What they are.
    nominal : Array
        Shape (outcome,).
    drawn : Array
        Shape (sample, outcome): objectives, then violations.

    Returns
    -------
    Section
        Nominal, the value that nine of ten draws reach or better, middle, and best of ten.
    """
    rows: list[tuple[Cell, ...]] = []
    for place, one in enumerate(outline.objectives):
        quantity = quantities[one.name]
        reached = worse_to_better(drawn[:, place], highest=one.highest)
        cells = [amount_of(quantity, value) for value in (nominal[place], *reached)]
        rows.append((spoken(one.name), *map(str, cells)))
    heads = ("objective", "nominal", "P10_worse_in_one_of_ten", "P50", "P90_better_in_one_of_ten")
    remark = f"{len(drawn)} draws, every assumption evenly over its spread, independent"
    return Section("robust", "All assumptions at once", heads, tuple(rows), remark)


def worse_to_better(values: Array, *, highest: bool) -> list[float]:
    """Return the values that 90, 50 and 10 % of samples reach or better; NaN counts as worst."""
    cost = np.where(np.isnan(values), np.inf, -values if highest else values)
    found = np.quantile(cost, [0.9, 0.5, 0.1], method="higher")
    return [float(-one if highest else one) for one in found]


def variance_section(
    objective: str, assumptions: Sequence[Assumption], found: VarianceShares | None
) -> Section:
    """Tell which assumptions cause how much of the variance of the first objective."""
    rows: tuple[tuple[Cell, ...], ...] = ()
    if found is not None:
        rows = tuple(
            (short(one.name), amount(first, "1", "%"), amount(total, "1", "%"))
            for one, first, total in zip(
                assumptions, found.first[:, 0].tolist(), found.total[:, 0].tolist(), strict=True
            )
        )
    remark = (
        "Sobol indices, estimated among the assumptions listed; total: with what they do together"
    )
    heads = ("assumption", "alone", "total")
    return Section("variance", f"Variance of {spoken(objective)}", heads, rows, remark)


def flip_row(assumption: Assumption, shift: float, then: str) -> tuple[Cell, ...]:
    """
    Tell one change that turns a recommendation.

    Parameters
    ----------
    assumption : Assumption
        What changes.
    shift : float
        By how many of its half spreads.
    then : str
        What happens.

    Returns
    -------
    tuple of Cell
        Its name, what it is today, where it turns and by how much that differs.
    """
    first = assumption.parts[0]
    alike = len({part.nominal for part in assumption.parts}) == 1
    step = first.step * shift
    today, turns = (
        str(size_of(value, first.unit)) if alike else "as given"
        for value in (first.nominal, first.nominal + step)
    )
    if first.unit == "K":
        change = str(amount(step, "delta_K"))
    else:
        change = str(amount(step / first.nominal, "1", "%"))
    signed = change if change.startswith("-") else f"+{change}"
    return (short(assumption.name), today, turns if alike else "", signed, then)


def flips_section(rows: Sequence[tuple[Cell, ...]], farthest: float) -> Section:
    """
    Put what turns a recommendation in a table.

    Parameters
    ----------
    rows : sequence of tuple of Cell
        See `flip_row`; the smallest change first.
    farthest : float
        Half spreads up to which changes were looked for.

    Returns
    -------
    Section
        Without rows where nothing turns it.
    """
    heads = ("assumption", "today", "turns_at", "change", "then")
    remark = (
        "the smallest change of one assumption alone that makes the recommended design miss a "
        "limit, or another pick or the baseline worth more by the weights that chose it, equal "
        f"shares of what the front spans; up to {farthest:g} times the assumed spread"
    )
    return Section("flips", "What would change the recommendation", heads, tuple(rows), remark)


def worth_section(outline: Outline, quantities: Quantities, found: Worth) -> Section:
    """
    Tell what each mechanism of a design is worth.

    Parameters
    ----------
    outline : Outline
        Objectives and limits.
    quantities : mapping of str to Quantity
        What they are.
    found : Worth
        The design with one mechanism swapped at a time.

    Returns
    -------
    Section
        Change of the objectives, and the limit that is missed most then; the largest change first.
    """
    change = found.scores.objectives - found.nominal.objectives
    size = np.abs(fronts.minimised(change, outline.objectives))
    order = np.argsort(-size[:, 0], kind="stable").tolist() if len(size) else []
    rows: list[tuple[Cell, ...]] = []
    for row in order:
        swap = found.swaps[row]
        missed = found.scores.violations[row]
        most = int(missed.argmax()) if missed.size else 0
        limit = outline.limits[most]
        misses = missed.size and missed[most] > 0.0
        words = (
            f"{spoken(limit.name)} "
            f"{margin_words(limit, bounded(quantities, limit.name), float(missed[most]))}"
            if misses
            else "meets every limit"
        )
        cells = [
            _difference(quantities[one.name], float(value))
            for one, value in zip(outline.objectives, change[row], strict=True)
        ]
        rows.append((short(swap.path), spoken(swap.before), spoken(swap.after), *cells, words))
    names = [f"{one.name}_change" for one in outline.objectives]
    heads = ("mechanism", "chosen", "instead", *names, "limits")
    remark = "the same design with this one swapped and evaluated again, nothing else adapted"
    return Section("worth", "Worth of each mechanism", heads, tuple(rows), remark)


def found_section(outline: Outline, quantities: Quantities, found: Sequence[Found]) -> Section:
    """Tell how far the search came with each choice of a mechanism, all else free to adapt."""
    rows: list[tuple[Cell, ...]] = []
    for one in found:
        best = [
            str(amount_of(quantities[objective.name], float(value))) if one.designs else "none"
            for objective, value in zip(outline.objectives, one.best, strict=True)
        ]
        path = short(one.path.removesuffix(".kind"))
        rows.append((path, spoken(one.choice), f"{one.designs:,}", *best))
    names = [f"{'longest' if one.highest else 'least'}_{one.name}" for one in outline.objectives]
    heads = ("mechanism", "choice", "designs_that_meet_all", *names)
    remark = "of the designs the search keeps: all else was free to adapt to the choice"
    return Section(
        "found_with", "Best found with each choice", heads, tuple(rows), remark, labels=2
    )
