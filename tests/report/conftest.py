import pytest

from tests.services.levee import levee, told
from tradeopt.report.section import Sheet
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.report.view import View
from tradeopt.study.compiled import Evaluation
from tradeopt.study.read import load
from tradeopt.study.study import Study

__all__ = ["levee", "told"]


@pytest.fixture(scope="session")
def study() -> Study:
    return load("levee_rounds")


@pytest.fixture(scope="session")
def evaluation(study: Study) -> Evaluation:
    return evaluate_design(study, study.problem.baseline)


@pytest.fixture(scope="session")
def view(evaluation: Evaluation) -> View:
    return View(evaluation, 0)


@pytest.fixture(scope="session")
def sheet(study: Study, evaluation: Evaluation) -> Sheet:
    return design_sheet(study, evaluation, study.problem.baseline[None])


@pytest.fixture(scope="session")
def said(study: Study) -> dict[str, float]:
    """The numbers that the study file says, in SI."""
    return {
        path: value for path, value in study.problem.values.items() if isinstance(value, float)
    }
