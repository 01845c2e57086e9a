"""`tradeopt schema`."""

import click

from tradeopt.cli.terms import say_json
from tradeopt.study.schema import json_schema


@click.command()
def command() -> None:
    """Print the JSON Schema of study files."""
    say_json(json_schema())
