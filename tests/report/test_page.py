"""The report as one file: nothing from outside, nothing left open, names made harmless."""

from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import pytest

from tradeopt import quantities as q
from tradeopt.report.page import report_of
from tradeopt.report.review import Review

VOID = {"meta", "img", "br", "hr", "link", "input"}


class Outline(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def outline(page: str) -> Outline:
    found = Outline()
    found.feed(page)
    found.close()
    assert found.open == []
    return found


@pytest.fixture(scope="module")
def page(told: Review) -> Outline:
    return outline(report_of(told, {"The front": b"<svg></svg>"}))


def test_the_page_needs_nothing_beside_it(page: Outline) -> None:
    assert "script" not in {tag for tag, _ in page.tags}
    sources = [attrs["src"] for _, attrs in page.tags if "src" in attrs]
    assert sources
    assert all(str(one).startswith("data:image/svg+xml;base64,") for one in sources)
    policies = [attrs for _, attrs in page.tags if "http-equiv" in attrs]
    assert "default-src 'none'" in str(policies[0]["content"])


def test_headings_are_in_order_and_every_picture_has_words(page: Outline) -> None:
    levels = [int(tag[1]) for tag, _ in page.tags if tag in {"h1", "h2", "h3", "h4"}]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(below - above <= 1 for above, below in pairwise(levels))
    assert all(attrs.get("alt") for tag, attrs in page.tags if tag == "img")


def test_the_page_tells_the_recommended_design(page: Outline, told: Review) -> None:
    words = " ".join(page.text)
    mass = float(told.chosen.view.of(q.TOTAL_MASS))
    assert f"total mass {mass:.4g} kg" in words
    assert str(told.provenance["study_sha256"]) in words
    for one in told.candidates:
        assert f"{one.name.capitalize()}, {one.role}" in words


def test_hostile_names_are_harmless(told: Review) -> None:
    name = "</style><script>alert(1)</script>\ud800\x00"
    hostile = replace(told, study=replace(told.study, name=name))
    found = outline(report_of(hostile, {name: b"<svg></svg>"}))
    assert "script" not in {tag for tag, _ in found.tags}
