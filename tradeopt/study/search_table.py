"""The table of a study file that says how long and how to search."""

import re
from typing import Annotated

from pydantic import BeforeValidator, WithJsonSchema

from tradeopt.chain.kind import Number
from tradeopt.study.fields import Table, number_check, number_schema, whole_check, word_check

METHODS = ("bursts", "trials")
"""Words for how designs are found."""

SAMPLERS = ("nsga2", "nsga3", "tpe", "gp", "qmc", "random")
"""Words for what proposes designs."""

STOPS = ("settled", "budget")
"""Words for when a search ends: early, once its front has stopped growing, or with its budget."""

_CLASS = re.compile(r"[A-Za-z_][\w.]*:[A-Za-z_]\w*")
"""A sampler named as the class that makes it."""

_TIME = Number("time", "s", "time to search", (60, 3600), above=0.0)
_DESIGNS = Number("designs", "1", "designs to try", (2000, 50000), at_least=1.0, whole=True)
_MOST_SEED = 2**32 - 1.0
_SEED = Number(
    "seed", "1", "start of all chance", (1, 100), at_least=0.0, at_most=_MOST_SEED, whole=True
)
_METHOD = {
    "enum": list(METHODS),
    "description": "bursts by operators of our own, or every design a trial of a sampler",
}
_SAMPLER = {
    "anyOf": [{"enum": list(SAMPLERS)}, {"pattern": r"^[A-Za-z_][\w.]*:[A-Za-z_]\w*$"}],
    "type": "string",
    "description": "what proposes designs: a word, or module:Class of a sampler for Optuna",
}
_STOP = {
    "enum": list(STOPS),
    "description": "when to end: once the front has stopped growing, or with the budget alone",
}
_ISLANDS = Number(
    "islands", "1", "slices an epoch, which as many workers can share", (2, 16),
    at_least=1.0, at_most=64.0, whole=True,
)  # fmt: skip


def _sampler(value: object) -> str:
    if isinstance(value, str) and _CLASS.fullmatch(value):
        return value
    return word_check(SAMPLERS)(value)


class Search(Table):
    """How long and how to search.

    Attributes
    ----------
    time : float, optional
        Seconds to search; where `designs` is given too, what comes first ends the run.
    designs : int, optional
        Designs to try; with it a run repeats exactly.
    seed : int
        Start of all chance.
    method : str
        How designs are found.
    sampler : str
        What proposes designs: all of them, or some between bursts.
    islands : int
        Slices an epoch: the most workers that can share the work.
    stop : str
        When to end: `settled` or `budget`.
    """

    time: Annotated[
        float | None, BeforeValidator(number_check(_TIME)), WithJsonSchema(number_schema(_TIME))
    ] = None
    designs: Annotated[
        int | None, BeforeValidator(whole_check(_DESIGNS)), WithJsonSchema(number_schema(_DESIGNS))
    ] = None
    seed: Annotated[int, BeforeValidator(whole_check(_SEED)), WithJsonSchema(number_schema(_SEED))]
    method: Annotated[str, BeforeValidator(word_check(METHODS)), WithJsonSchema(_METHOD)] = (
        "bursts"
    )
    sampler: Annotated[str, BeforeValidator(_sampler), WithJsonSchema(_SAMPLER)] = "nsga2"
    islands: Annotated[
        int, BeforeValidator(whole_check(_ISLANDS)), WithJsonSchema(number_schema(_ISLANDS))
    ] = 8
    stop: Annotated[str, BeforeValidator(word_check(STOPS)), WithJsonSchema(_STOP)] = "settled"
