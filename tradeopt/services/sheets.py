"""Design sheets, for programs and for readers at once."""

from collections.abc import Mapping
from dataclasses import asdict

from tradeopt.report.amount import Cell
from tradeopt.report.section import Plain, Section, Sheet, plain_sheet
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.services.evaluate import changed
from tradeopt.services.lookup import find
from tradeopt.services.views import provenance
from tradeopt.store.database import Database
from tradeopt.study.read import loads


def sheet_of(database: Database, run_id: str, number: int) -> Plain:
    """
    Tell all there is to say of a design of a run.

    Parameters
    ----------
    database : Database
        Where runs are kept.
    run_id : str
        Which run.
    number : int
        Which design.

    Returns
    -------
    dict
        See `told`.

    Raises
    ------
    NotFoundError
        When there is none of that number.
    """
    found = find(database, run_id)
    return provenance(found.run) | {"design": number} | told(found.sheet(number))


def evaluated(study: str, files: Mapping[str, str], changes: Mapping[str, str]) -> Plain:
    """
    Tell all there is to say of the design of a study, with some values said otherwise.

    Parameters
    ----------
    study : str
        The study file.
    files : mapping of str to str
        Files that it names, by name.
    changes : mapping of str to str
        New values with their units, by path; `limits.NAME` moves a limit.

    Returns
    -------
    dict
        See `told`.

    Raises
    ------
    StudyError
        With every problem of the study, or else of the values.
    """
    made, design = changed(loads(study, files), changes)
    sheet = design_sheet(made, evaluate_design(made, design), design[None])
    return {"changes": dict(changes), **told(sheet)}


def told(sheet: Sheet) -> Plain:
    """
    Turn a sheet into what JSON can hold.

    Parameters
    ----------
    sheet : Sheet
        The design.

    Returns
    -------
    dict
        Under `sections` numbers in SI by name, for programs; under `tables` the same as it is
        read, with titles and remarks, in the order to read it.
    """
    return plain_sheet(sheet) | {"tables": [_table(section) for section in sheet.sections]}


def _table(section: Section) -> Plain:
    return asdict(section) | {"rows": [[_cell(cell) for cell in row] for row in section.rows]}


def _cell(cell: Cell) -> object:
    if isinstance(cell, str):
        return cell
    value = cell.value if cell.finite else None
    return {"value": value, "unit": cell.unit, "shown_in": cell.shown_in, "shown": str(cell)}
