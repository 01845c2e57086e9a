"""What a run came to, for commands that end with it."""

import click

from tradeopt.cli import INTERRUPTED, NOTHING_MEETS, SEARCH_FAILED
from tradeopt.cli.terms import look, remark, say
from tradeopt.report.front import front_section, nearest_section, plain_front
from tradeopt.report.progress import plain_run, remarks, summary_words
from tradeopt.report.section import Plain
from tradeopt.report.terminal import section_text
from tradeopt.services.lookup import BASELINE, FoundRun
from tradeopt.services.progress import Progress
from tradeopt.services.views import provenance
from tradeopt.store.runs import RunState


def outcome_text(found: FoundRun, standing: Progress) -> None:
    """Write what a run came to, its front, or the designs nearest to the limits."""
    say(summary_words(standing))
    if standing.front_size:
        say(section_text(front_section(found.front()), look()))
        say(f"\nbaseline: {baseline_words(found)}")
    elif standing.tried:
        say(section_text(nearest_section(found.nearest()), look()))
        say(found.way_out())


def baseline_words(found: FoundRun) -> str:
    """Say in one line how the study's own design does."""
    view = found.baseline()
    names = [one.name for one in view.outline.objectives]
    reached = [
        f"{name} {cell}" for name, cell in zip(names, view.objectives(BASELINE), strict=True)
    ]
    name, words = view.tightest(BASELINE)
    return f"{', '.join(reached)}; {name} {words}"


def plain_outcome(found: FoundRun, standing: Progress) -> Plain:
    """Turn what a run came to into what JSON can hold."""
    data = plain_run(standing) | provenance(found.run)
    if not standing.front_size:
        data["nearest"] = plain_front(found.nearest())
        data["way_out"] = found.way_out()
    return data


def advise(found: FoundRun, standing: Progress) -> None:
    """Tell what to type next."""
    run_id = standing.run_id
    for line in remarks(standing):
        remark(line)
    if standing.state is RunState.STOPPED:
        remark("stopped; the same command goes on where it was")
    if standing.front_size:
        front = found.front()
        number = front.designs.numbers[front.sorted_rows()[0]]
        remark(f"next: tradeopt sheet {run_id} {number}")
        remark(f"      tradeopt front {run_id} --csv")


def end_with(standing: Progress, *, ended: bool = False) -> None:
    """
    End the command with the exit code that says what the run came to.

    Parameters
    ----------
    standing : Progress
        How it stands.
    ended : bool
        The run is only looked at: that it was stopped or failed is no matter of this command.
    """
    code = 0
    if not ended and standing.state is RunState.FAILED:
        remark(f"the search failed: {standing.note.strip()}")
        code = SEARCH_FAILED
    elif not ended and standing.state is RunState.STOPPED:
        code = INTERRUPTED
    elif not standing.front_size:
        code = NOTHING_MEETS
    click.get_current_context().exit(code)
