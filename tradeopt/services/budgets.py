"""When a run has had enough."""

from tradeopt.errors import TradeoptError
from tradeopt.search.epoch import GROWTH, Epoch, has_settled
from tradeopt.search.stationary import certifying_cost, looked_at
from tradeopt.store.runs import Budget, Run

SETTLED = (
    "stopped early: the hypervolume of the front grew by less than "
    f"{GROWTH:.1%} while the designs tried doubled"
)
"""By which rule a run stopped that had not spent its budget."""


class BudgetError(TradeoptError):
    """Nothing says how long to search."""


def is_spent(run: Run, last: Epoch, budget: Budget) -> bool:
    """
    Tell whether a budget leaves no room for another epoch.

    Parameters
    ----------
    run : Run
        Tells the time spent and the size of an epoch.
    last : Epoch
        The last one that is closed.
    budget : Budget
        What the run may take.

    Returns
    -------
    bool
        True once as many designs as asked for were asked of the slices, or once another epoch as
        fast as those before would end more than half of it late, with the time that certifying the
        front will take. The first epoch always runs.
    """
    closed = last.number + 1
    if closed == 0:
        return False
    tried = run.plan.first_number(closed, 0)
    enough = budget.designs is not None and tried >= budget.designs
    half_of_next = 0.5 * run.plan.slice_size(closed) * run.plan.islands
    certified = min(len(last.front), looked_at(run, last.tried)) * certifying_cost(run)
    expected_middle = run.seconds_spent * (1.0 + (half_of_next + certified) / tried)
    late = budget.seconds is not None and expected_middle >= budget.seconds
    return enough or late


def is_over(run: Run, last: Epoch, budget: Budget) -> bool:
    """Tell whether a run ends: its budget is spent, or its front has settled and may end it."""
    return is_spent(run, last, budget) or (budget.early and has_settled(run.plan, last))
