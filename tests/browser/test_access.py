"""Whether everybody can use the page: axe, keys, day and night, and the width of a phone."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.served import Served

PLACES = (
    "/",
    "/new",
    "/runs/{run}/asked",
    "/runs/{run}/progress",
    "/runs/{run}/trade?picks={best}",
    "/runs/{run}/picks?picks={best}",
    "/runs/{run}/designs/{best}",
    "/runs/{run}/drivers",
    "/runs/{run}/handover",
)

RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "resultTypes": ["violations"],
}


def visit(page: Page, site: Served, place: str) -> None:
    page.goto(place.format(run=site.run, best=site.best))
    page.get_by_role("heading", level=1).wait_for()


@pytest.mark.parametrize("place", PLACES)
def test_axe_finds_nothing_by_day_and_night(page: Page, site: Served, place: str) -> None:
    visit(page, site, place)
    for light in ("day", "night"):
        page.get_by_label("Light").select_option(label=light)
        found = Axe().run(page, options=RULES).response["violations"]
        told = [(one["id"], [node["html"][:200] for node in one["nodes"][:3]]) for one in found]
        assert told == [], light


@pytest.mark.parametrize("place", PLACES)
def test_nothing_is_wider_than_a_phone(page: Page, site: Served, place: str) -> None:
    page.set_viewport_size({"width": 360, "height": 740})
    visit(page, site, place)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_the_first_key_leads_to_the_content(page: Page, site: Served) -> None:
    visit(page, site, "/")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="To the content")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()


def test_the_light_is_remembered(page: Page, site: Served) -> None:
    visit(page, site, "/")
    page.get_by_label("Light").select_option(label="night")
    page.reload()
    expect(page.locator("html")).to_have_attribute("data-theme", "dark")


def test_an_address_that_is_not_there_is_told(page: Page) -> None:
    answer = page.request.get("/runs/nobody/trade")
    assert answer.status == 200  # the page itself; what it shows is told by its script
    told = page.request.get("/page/runs/nobody/table")
    assert told.status == 404
    assert told.headers["content-type"] == "application/problem+json"
