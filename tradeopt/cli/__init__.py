"""The command line: each command is a file of this folder, read when it is called."""

import os
import sys
import traceback
from importlib import import_module
from typing import Any

import click

from tradeopt.errors import ChainError, NotFoundError, ProblemsError, StudyError, TradeoptError

FAULT, USAGE, INVALID, SEARCH_FAILED, NOTHING_MEETS, INTERRUPTED = 1, 2, 3, 5, 6, 130
"""Exit codes; 4 is kept for a service that does not answer."""

COMMANDS = {
    "check": "Say what a study asks, or everything that is wrong with it.",
    "evaluate": "Evaluate the study's own design, or that with some values said otherwise.",
    "run": "Search for the best designs; the same command goes on where it was.",
    "front": "Show the best designs that a run has found.",
    "sheet": "Show all there is to say of one design of a run.",
    "deck": "Make the review deck of a run: native tables and charts that can be edited.",
    "report": "Write the review of a run as one HTML file, for people without the service.",
    "gaits": "Draw each gait of a study: stick figure, joint angles, torques, foot load.",
    "runs": "List the runs of this folder's database.",
    "token": "Make, list and revoke the tokens that open the service.",
    "serve": "Answer over HTTP and work on runs, until Ctrl-C; what dies is replaced.",
    "work": "Work on runs that are under way, until Ctrl-C: one more machine for a search.",
    "status": "Show which runs are under way, who works on them, and what each waits for.",
    "schema": "Print the JSON Schema of study files.",
    "completion": "Print a script that completes commands in your shell.",
}
"""Names and short helps, so that the list of commands needs none of their files."""

EPILOG = """\b
Exit codes:
  0    fine
  1    fault
  2    wrong usage, or no such run or design
  3    the study is not valid
  5    the search failed
  6    no design meets the limits
  130  interrupted

\b
Environment:
  TRADEOPT_DATABASE_URL  where runs are kept; sqlite:///tradeopt.db unless set
  TRADEOPT_BROKER_URL    where the workers of a team are woken from; nowhere unless set
  TRADEOPT_LEASE         seconds until a silent worker loses what it has in hand; 15 unless set
  TRADEOPT_HANG          seconds that a batch of designs may take; 120 unless set
  TRADEOPT_CACHE_FOLDER  where machine code is kept; .cache/tradeopt at home unless set
  TRADEOPT_LOG_LEVEL     DEBUG, INFO, WARNING or ERROR; INFO unless set
  TRADEOPT_DEBUG         1 shows where a fault came from, as --debug does
  NO_COLOR               anything keeps colour away
"""


class Commands(click.Group):
    """Commands that are imported when they are called, and errors told in words."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Name the commands in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002 - click's signature
        """Import a command."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = import_module(f"tradeopt.cli.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002 - click's signature
        """Write the list of commands."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401 - click's signature
        """Run a command; whatever goes wrong is told in words and as an exit code."""
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()
        except (click.ClickException, click.exceptions.Exit):
            raise
        except (KeyboardInterrupt, click.Abort):
            click.echo("interrupted", err=True)
            ctx.exit(INTERRUPTED)
        except BrokenPipeError:
            # whoever reads has enough; nothing may be written at exit either
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            ctx.exit(0)
        except Exception as error:  # noqa: BLE001 - told in words, with its place on request
            ctx.exit(tell(error, debug=bool(ctx.params.get("debug"))))
        return result


def tell(error: Exception, *, debug: bool) -> int:
    """
    Tell the user what went wrong.

    Parameters
    ----------
    error : Exception
        What was raised.
    debug : bool
        Show where it came from.

    Returns
    -------
    int
        The exit code for it.
    """
    if debug:
        click.echo("".join(traceback.format_exception(error)), err=True, nl=False)
    elif isinstance(error, TradeoptError):
        click.echo(str(error), err=True)
        count = len(error.problems) if isinstance(error, ProblemsError) else 0
        if count > 1:
            click.echo(f"{count} problems", err=True)
    else:
        text = " ".join(str(error).split())
        click.echo(f"fault: {type(error).__name__}: {text}", err=True)
        click.echo("hint: the same command with TRADEOPT_DEBUG=1 shows where", err=True)
    if isinstance(error, StudyError | ChainError):
        return INVALID
    return USAGE if isinstance(error, ProblemsError | NotFoundError) else FAULT


@click.command(
    cls=Commands,
    epilog=EPILOG,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option("--debug", is_flag=True, envvar="TRADEOPT_DEBUG", help="Show where a fault is.")
@click.version_option(package_name="tradeopt")
def cli(*, debug: bool) -> None:
    """Trade studies for energy-frugal walking robots.

    STUDY is a study file, - for standard input, or the name of an example, such as levee_rounds.
    RUN is the name of a run, or last.
    """


def main() -> None:
    """Start the command line."""
    cli.main(prog_name="tradeopt")
