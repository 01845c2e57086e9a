"""`tradeopt check`."""

import click

from tradeopt.cli.terms import read_study, say, study_argument
from tradeopt.study.study import Study


@click.command()
@study_argument
def command(study: str) -> None:
    """Say what a study asks, or everything that is wrong with it."""
    say(outline(read_study(study)))


def outline(study: Study) -> str:
    """Say in one line what a study asks."""
    problem = study.problem
    objectives = ", ".join(
        f"{one.name} {'highest' if one.highest else 'lowest'}" for one in problem.objectives
    )
    return (
        f"{study.name}: {_count(len(problem.variables), 'variable')}, "
        f"{_count(len(problem.objectives), 'objective')} ({objectives}), "
        f"{_count(len(problem.limits), 'limit')}, "
        f"{_count(len(problem.layout.gaits), 'gait')} ({', '.join(problem.layout.gaits)})"
    )


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"
