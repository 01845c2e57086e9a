import pytest

from tradeopt.study.read import load
from tradeopt.study.study import Study


@pytest.fixture(scope="session")
def study() -> Study:
    return load("levee_rounds")
