"""What made a result, so that it can be made again."""

import platform
from importlib.metadata import version

from tradeopt.report.section import Plain

LIBRARIES = ("numpy", "scipy", "llvmlite", "optuna")
"""Libraries whose version can change a result."""


def made_by() -> Plain:
    """
    Name the software that runs now.

    Returns
    -------
    dict
        Versions of this package, of Python and of the libraries that can change a result.

    Examples
    --------
    >>> list(made_by())
    ['tradeopt', 'python', 'numpy', 'scipy', 'llvmlite', 'optuna']
    """
    return {
        "tradeopt": version("tradeopt"),
        "python": platform.python_version(),
        **{name: version(name) for name in LIBRARIES},
    }
