"""`tradeopt completion`."""

import click
from click.shell_completion import get_completion_class

from tradeopt.cli import cli

VARIABLE = "_TRADEOPT_COMPLETE"
"""Through this variable the shell asks for completions."""


@click.command()
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def command(shell: str) -> None:
    """Print a script that completes commands in your shell.

    For bash: eval "$(tradeopt completion bash)"
    """
    completion = get_completion_class(shell)
    if completion is None:
        raise click.BadParameter(f"got {shell!r}, want bash, zsh or fish")
    click.echo(completion(cli, {}, "tradeopt", VARIABLE).source())
