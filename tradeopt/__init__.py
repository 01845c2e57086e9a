"""Trade studies for energy-frugal walking robots.

>>> import tradeopt
>>> study = tradeopt.load("levee_rounds")
>>> design = tradeopt.evaluate(study, {"robot.battery.parallel": "14"})
>>> design["total_mass"] > tradeopt.evaluate(study)["total_mass"]
True
"""

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tradeopt.client import Client
    from tradeopt.services.notebook import Design, Front, evaluate, load, search

__all__ = ["Client", "Design", "Front", "evaluate", "load", "search"]

_HOME = "tradeopt.services.notebook"
_ELSEWHERE = {"Client": "tradeopt.client"}


class _Package(ModuleType):
    """The package as its users see it: a public name is imported when it is first used.

    `search` is the name of a function for them and of a folder for us. Importing anything from the
    folder sets an attribute of that name here, which must not hide the function.
    """

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401 - whatever is public
        if name not in __all__:
            raise AttributeError(f"module {self.__name__!r} has no attribute {name!r}")
        return getattr(import_module(_ELSEWHERE.get(name, _HOME)), name)

    def __dir__(self) -> list[str]:
        return sorted({*super().__dir__(), *__all__})

    @property
    def search(self) -> Any:  # noqa: ANN401 - typed above
        """Search a study on this machine."""
        return import_module(_HOME).search

    @search.setter
    def search(self, folder: ModuleType) -> None:
        """Let the import of the folder pass; it is found under its full name."""


sys.modules[__name__].__class__ = _Package
