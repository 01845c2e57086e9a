import pytest

from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.report.view import View
from tradeopt.study.read import load


@pytest.fixture(scope="session")
def study():
    return load("levee_rounds")


@pytest.fixture(scope="session")
def evaluation(study):
    return evaluate_design(study, study.problem.baseline)


@pytest.fixture(scope="session")
def view(evaluation):
    return View(evaluation, 0)


@pytest.fixture(scope="session")
def sheet(study, evaluation):
    return design_sheet(study, evaluation, study.problem.baseline[None])
