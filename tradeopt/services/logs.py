"""What workers do, told line by line as JSON for whoever collects it."""

import json
import logging
import sys
import traceback
from datetime import UTC, datetime

from tradeopt.store.claims import Place

_LOGGER = logging.getLogger("tradeopt")


class JsonLines(logging.Formatter):
    """Writes a record as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        """Turn a record into JSON."""
        told = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "from": record.name,
            "event": record.getMessage(),
            **getattr(record, "told", {}),
        }
        if record.exc_info:
            told["trace"] = "".join(traceback.format_exception(*record.exc_info))
        return json.dumps(told, default=str)


def set_up(level: str) -> None:
    """Let every record of a level and above be written on standard error."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonLines())
    logging.basicConfig(level=level, handlers=[handler], force=True)


def log(event: str, at: Place | None = None, *, level: int = logging.INFO, **told: object) -> None:
    """
    Tell what happened.

    Parameters
    ----------
    event : str
        What, in words that stay the same.
    at : Place, optional
        In which step of which run.
    level : int
        How grave it is.
    **told : object
        What else there is to know.
    """
    where = {} if at is None else {"run": at.run_id, "epoch": at.epoch, "place": at.place}
    _LOGGER.log(level, event, extra={"told": {**where, **told}})


def log_fault(event: str, error: Exception) -> None:
    """Tell of an error that does not end the process, with its place."""
    _LOGGER.error(event, exc_info=error)
