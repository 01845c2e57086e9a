"""Lets the tasks of the product read the toy study; imported by each process of a worker."""

from functools import partial

from tests.services.toy import read_toy
from tradeopt.services.work import Worker
from workers import tasks

vars(tasks)["Worker"] = partial(Worker, read_study=read_toy)
