"""README and DEVELOPERS: what they point at is there, and README's commands are what CI runs."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
LINK = re.compile(r"\]\(([^)#:]+)\)")


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_every_relative_link_leads_somewhere(name: str) -> None:
    targets = LINK.findall((ROOT / name).read_text(encoding="utf-8"))
    assert [target for target in targets if not (ROOT / target).exists()] == []


def test_readme_shows_a_picture_and_two_commands() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert re.search(r"!\[[^]]+\]\([^)]+\.svg\)", text)
    main, tests = [line for line in text.splitlines() if line.startswith("python3 -m venv")]
    assert " run levee_rounds " in main
    assert " pytest " in tests
