"""Settings from the environment, checked before anything starts."""

import os
from pathlib import Path
from typing import Literal

from pydantic import Field, SecretStr, ValidationError
from pydantic_settings import BaseSettings, SettingsConfigDict

from tradeopt.errors import Problem, ProblemsError


class SettingsError(ProblemsError):
    """The environment cannot be used as it stands."""


def _cache_folder() -> Path | None:
    """Return where a user's programs keep what they can make again; None without a home."""
    told = os.environ.get("XDG_CACHE_HOME")
    try:
        return (Path(told) if told else Path.home() / ".cache") / "tradeopt"
    except RuntimeError:
        return None


class Settings(BaseSettings):
    """What the environment says; each field is read from ``TRADEOPT_`` and its name in capitals.

    Attributes
    ----------
    database_url : SecretStr
        Where runs are kept; a file in the current folder unless said otherwise. May hold a
        password, so it is never shown.
    broker_url : SecretStr or None
        Where workers on other machines are woken from; never shown. Without one, workers look for
        work themselves.
    log_level : str
        How much is told.
    lease : float
        Seconds after which a worker that is not heard of loses what it has in hand.
    hang : float
        Seconds after which a batch of designs that has not ended ends its worker.
    cache_folder : Path, optional
        Where machine code of studies is kept, for this user alone; it may be emptied at any time.
    """

    model_config = SettingsConfigDict(env_prefix="TRADEOPT_", frozen=True)

    database_url: SecretStr = Field(SecretStr("sqlite:///tradeopt.db"), min_length=1)
    broker_url: SecretStr | None = Field(None, min_length=1)
    log_level: Literal["DEBUG", "INFO", "WARNING", "ERROR"] = "INFO"
    lease: float = Field(15.0, ge=1.0)
    hang: float = Field(120.0, ge=1.0)
    cache_folder: Path | None = Field(default_factory=_cache_folder)


def read_settings() -> Settings:
    """
    Read the environment.

    Returns
    -------
    Settings
        Checked.

    Raises
    ------
    SettingsError
        With every problem; values that may be secret are not repeated.
    """
    try:
        return Settings()
    except ValidationError as error:
        problems = tuple(
            Problem(
                where=f"TRADEOPT_{str(one['loc'][0]).upper()}",
                got="a value that cannot be used",
                want=one["msg"],
            )
            for one in error.errors(include_input=False, include_url=False)
        )
        raise SettingsError(problems) from None
