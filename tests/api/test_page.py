"""The page and its files: served whole, under a strict policy, and to whom it may be."""

import re
from html.parser import HTMLParser

import pytest
from fastapi.testclient import TestClient

from api.page.files import HELD, PARTS
from tests.api.served import HERE, opened
from tests.api.test_access import ELSEWHERE, ask

ADDRESSES = ("/", "/new", *(f"/runs/any/{part.format(number=3)}" for part in PARTS))
FILES = sorted(one.name for one in HELD.iterdir())


@pytest.mark.parametrize("address", [*ADDRESSES, *(f"/page/files/{name}" for name in FILES)])
def test_what_a_browser_loads_comes_from_here_alone(fresh: TestClient, address: str) -> None:
    answer = fresh.get(address)
    assert answer.status_code == 200
    rules = dict(
        rule.split(" ", 1) for rule in answer.headers["content-security-policy"].split("; ")
    )
    assert rules["default-src"] == "'self'"
    assert rules["frame-ancestors"] == "'none'"
    assert "unsafe" not in answer.headers["content-security-policy"]
    assert answer.headers["x-content-type-options"] == "nosniff"


class Inline(HTMLParser):
    """Finds script and style within a page, and what it loads."""

    def __init__(self) -> None:
        super().__init__()
        self.loaded: list[str] = []
        self.inline: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.inline += [name for name in named if name == "style" or name.startswith("on")]
        if tag == "style" or (tag == "script" and "src" not in named):
            self.inline.append(tag)
        if tag in {"script", "link"}:
            self.loaded.append(str(named.get("src") or named.get("href")))


def test_the_page_has_no_script_or_style_within(fresh: TestClient) -> None:
    found = Inline()
    found.feed(fresh.get("/").text)
    assert found.inline == []
    assert {name.rpartition("/")[2] for name in found.loaded} <= set(FILES)


@pytest.mark.parametrize("name", [name for name in FILES if name.endswith(".js")])
def test_a_script_loads_its_neighbours_alone(name: str) -> None:
    text = (HELD / name).read_text(encoding="utf-8")
    loaded = re.findall(r'^import .* from "(.*)";$', text, re.MULTILINE)
    assert {one.removeprefix("./") for one in loaded} <= set(FILES)
    assert text.startswith("// @ts-check\n/**")
    for word in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval("):
        assert word not in text


def test_every_script_is_used() -> None:
    texts = {name: (HELD / name).read_text(encoding="utf-8") for name in FILES}
    for name in FILES:
        others = [text for other, text in texts.items() if other != name]
        assert name == "index.html" or any(name in text for text in others), name


@pytest.mark.parametrize("name", ["nothing.js", "..%2froutes.py", "%2e%2e%2fdata.py"])
def test_no_other_file_is_given_out(fresh: TestClient, name: str) -> None:
    assert fresh.get(f"/page/files/{name}").status_code == 404


@pytest.mark.parametrize("part", ["asked", "table", "drivers", "designs/0"])
def test_what_a_run_holds_is_not_for_everybody(tmp_path: object, part: str) -> None:
    url = f"sqlite:///{tmp_path}/runs.db"
    path = f"/page/runs/nobody/{part}"
    assert ask(url, path, client=HERE)[0] == 404
    assert ask(url, path, client=ELSEWHERE)[0] == 403
    # the page itself holds nothing, and asks for the token
    assert ask(url, "/", client=ELSEWHERE)[0] == 200


def test_the_example_can_be_searched(tmp_path: object) -> None:
    with opened(f"sqlite:///{tmp_path}/runs.db") as client:
        example = client.get("/page/example").json()
        told = client.post("/v1/check", json=example).json()
    assert (told["valid"], told["asked"]["name"]) == (True, "levee-rounds")
