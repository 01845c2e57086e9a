"""What a sampler of the library proposes, seen the trials that a run has promoted."""

import numpy as np
import optuna

from tradeopt.search import records, space
from tradeopt.search.designs import Designs, Outline
from tradeopt.search.plan import SearchPlan
from tradeopt.search.samplers import Breeding, make_sampler, quiet
from tradeopt.search.slices import Seeds, no_seeds

TOLD = 100
"""Most designs that the sampler is told, the last ones; the library copies each several times."""


def propose(outline: Outline, plan: SearchPlan, epoch: int, seen: Designs) -> Seeds:
    """
    Ask the sampler of a plan for designs to begin an epoch with.

    Parameters
    ----------
    outline : Outline
        The study.
    plan : SearchPlan
        Names the sampler, and how many designs are wanted.
    epoch : int
        Which epoch.
    seen : Designs
        What the sampler is told, the last `TOLD` of those that have a value and are within bounds.

    Returns
    -------
    Seeds
        A pure function of the arguments; none where the sampler has seen nothing.
    """
    usable = space.inside(seen.values, outline.variables)
    usable &= np.all(np.isfinite(seen.objectives), axis=1)
    told = seen.take(np.flatnonzero(usable)[-TOLD:])
    if len(told) == 0 or plan.proposals == 0:
        return no_seeds(outline)
    kinds = space.distributions(outline.variables)
    with quiet():
        study = optuna.create_study(directions=records.directions(outline))
        study.add_trials(records.trials(outline, told, [{}] * len(told)))
        chance = plan.chance(epoch, plan.islands)  # as if it were one island more
        founders = tuple(study.get_trials(deepcopy=False))
        breeding = Breeding(kinds, max(len(founders), plan.proposals), chance, founders)
        study.sampler = make_sampler(plan.sampler, breeding)
        asked = [study.ask(kinds) for _ in range(plan.proposals)]
    rows = [space.row(trial.params, outline.variables) for trial in asked]
    return Seeds(np.array(rows, dtype=np.float64), ("sampler",) * len(rows))
