"""The shape of the project: its top level, the length of its files, the way imports point."""

import ast
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TypeGuard

import pytest

ROOT = Path(__file__).parent.parent
CODE = [*ROOT.glob("tradeopt/**/*.py"), *ROOT.glob("workers/*.py"), *ROOT.glob("api/*.py")]
LONGEST_FILE = 400
LONGEST_CLASS = 150
LONGEST_FUNCTION = 40
"""Lines of code; most functions have fewer than ten."""


def test_the_top_level_is_what_it_should_be() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split("\n")
    top = {name.split("/")[0] for name in listed if name}
    assert {name for name in top if not name.startswith(".")} == {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "tradeopt",
        "workers",
        "api",
        "tests",
        "docker-compose.yml",
    }


def code_lines(node: ast.AST) -> int:
    """Count the lines of a class or function that hold code: no docstrings, blanks or remarks."""
    held: set[int] = set()
    for part in ast.walk(node):
        if isinstance(part, ast.stmt | ast.arg) and not is_docstring(part):
            held.update(range(part.lineno, (part.end_lineno or 0) + 1))
    for part in ast.walk(node):
        if is_docstring(part):
            held.difference_update(range(part.lineno, (part.end_lineno or 0) + 1))
    return len(held)


def is_docstring(node: ast.AST) -> TypeGuard[ast.Expr]:
    return (
        isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
    )


@pytest.mark.parametrize("path", CODE, ids=lambda path: str(path.relative_to(ROOT)))
def test_files_classes_and_functions_stay_short(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= LONGEST_FILE
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.ClassDef):
            assert code_lines(node) <= LONGEST_CLASS, node.name
        if isinstance(node, ast.FunctionDef):
            assert sum(map(code_lines, node.body)) <= LONGEST_FUNCTION, node.name


@pytest.mark.parametrize(
    ("file", "line", "broken"),
    [
        ("chain/stage.py", "import tradeopt.study.read", "Arrows point down"),
        ("physics/heat.py", "import tradeopt.physics.motor", "Files of the physics"),
        ("physics/heat.py", "import tradeopt.errors", "Physics knows arrays"),
        ("study/read.py", "import pint", "Only units.py sees"),
        ("stages/motor.py", "import tradeopt.units", "Text with units stays"),
        ("cli/check.py", "import sqlalchemy", "SQL stays in the store"),
    ],
)
def test_a_planted_breach_of_the_layers_is_caught(
    file: str, line: str, broken: str, tmp_path: Path
) -> None:
    for name in ("tradeopt", "workers", "api"):
        shutil.copytree(ROOT / name, tmp_path / name)
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    planted = tmp_path / "tradeopt" / file
    planted.write_text(planted.read_text(encoding="utf-8") + f"\n{line}\n", encoding="utf-8")
    command = Path(sys.executable).parent / "lint-imports"
    found = subprocess.run(
        [command, "--no-cache"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert found.returncode == 1, found.stdout + found.stderr
    told = [contract for contract in found.stdout.split("\n") if contract.endswith("BROKEN")]
    assert any(contract.startswith(broken) for contract in told)
