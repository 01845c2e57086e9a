"""Reading cells in tests."""

from tradeopt.report.amount import Amount, Cell


def number(cell: Cell) -> float:
    """Return the number of a cell, which must be one."""
    assert isinstance(cell, Amount)
    return cell.value
