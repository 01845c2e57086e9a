"""What a reader does with the page, in the order of a study."""

import csv
import io
import json
import re
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from pptx import Presentation

import tradeopt
from tests.browser.served import Served, search
from tests.services.workers import worker
from tradeopt.store.database import Database
from tradeopt.study.read import loads

BRIEF = "search: {designs: 400, seed: 11, islands: 1}"
"""A search that a test can wait for."""

SLOW = 120_000
"""Milliseconds for what evaluates thousands of designs."""


def write_study(page: Page, old: str, new: str) -> None:
    """Take the example and say one thing otherwise."""
    page.goto("/new")
    box = page.get_by_label("Study file")
    page.get_by_role("button", name="Take the example").click()
    expect(box).to_have_value(re.compile("levee-rounds"))
    text = box.input_value()
    assert old in text
    box.fill(text.replace(old, new))


def test_problems_are_shown_at_their_lines(page: Page) -> None:
    write_study(page, "thigh: 400 mm", "thigh: 400 kg")
    page.get_by_role("button", name="Check").click()
    expect(page.get_by_role("heading", name="One thing is wrong")).to_be_focused()
    text = page.get_by_label("Study file").input_value()
    line = 1 + text[: text.index("thigh: 400 kg")].count("\n")
    page.get_by_role("button", name=f"line {line}").click()
    chosen = page.evaluate(
        "() => { const box = document.querySelector('textarea');"
        " return box.value.slice(box.selectionStart, box.selectionEnd); }"
    )
    assert chosen.strip() == "thigh: 400 kg"


def test_a_study_is_submitted_and_watched_to_its_end(page: Page, site: Served) -> None:
    write_study(page, "search: {time: 2 min, seed: 7}", BRIEF)
    page.get_by_role("button", name="Start the search").click()
    expect(page).to_have_url(re.compile(r"/runs/levee-rounds-\d+/progress"))
    expect(page.get_by_text("No designs tried yet.").first).to_be_visible()
    run_id = page.url.split("/")[-2]
    search(site.url, run_id)
    tried = page.request.get(f"/v1/runs/{run_id}").json()["designs"]
    assert tried > 0
    # heard by events: nobody loads the page again
    expect(page.locator(".sentence").first).to_contain_text(f"of {tried} designs tried")
    expect(page.locator("dl").first).to_contain_text("finished")
    expect(page.get_by_role("button", name="Go on")).to_be_visible()


def test_a_running_search_is_stopped_and_goes_on(page: Page, site: Served) -> None:
    write_study(page, "search: {time: 2 min, seed: 7}", BRIEF.replace("11", "12"))
    page.get_by_role("button", name="Start the search").click()
    page.get_by_role("button", name="Stop").click()
    expect(page.locator("dl").first).to_contain_text("stopped")
    run_id = page.url.split("/")[-2]
    with closing(Database(site.url)) as database, worker(database, loads, only=run_id) as one:
        assert not one.do_one()
    expect(page.locator("dl").first).to_contain_text("stopped")
    page.get_by_label("Further time").fill("1")
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_role("button", name="Stop")).to_be_enabled()


def test_a_search_that_finds_nothing_says_what_to_relax(page: Page, site: Served) -> None:
    write_study(page, 'endurance: ">= 4 h"', 'endurance: ">= 400 h"')
    page.get_by_label("Designs to try").fill("100")
    page.get_by_role("button", name="Start the search").click()
    expect(page).to_have_url(re.compile("/progress"))
    run_id = page.url.split("/")[-2]
    search(site.url, run_id)
    page.goto(f"/runs/{run_id}/trade")
    expect(
        page.get_by_text(re.compile(r"None of [\d,]+ designs tried meets every limit; the"))
    ).to_be_visible()
    expect(page.get_by_text("kept, 0 of them meet every limit")).to_be_visible()
    page.get_by_role("link", name="What drives it").click()
    expect(page.get_by_text("would meet every limit if relaxed")).to_contain_text("endurance >=")


def test_an_old_study_is_duplicated(page: Page, site: Served) -> None:
    page.goto(f"/runs/{site.run}/asked")
    page.get_by_role("link", name="Duplicate and edit").click()
    expect(page.get_by_label("Study file")).to_have_value(re.compile("name: levee-rounds"))
    expect(page.get_by_text("beside it: levee_brisk.csv")).to_be_visible()


def test_studies_lead_to_their_parts_and_back(page: Page, site: Served) -> None:
    page.goto("/")
    page.get_by_role("link", name=site.run, exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("The trade")
    for title in ("What was asked", "How the search goes", "The picks", "What drives it"):
        page.get_by_role("link", name=title).click()
        expect(page.get_by_role("heading", level=1)).to_have_text(title)
    page.go_back()
    expect(page.get_by_role("heading", level=1)).to_have_text("The picks")


def test_picks_are_compared_with_the_baseline_and_kept_in_the_address(
    page: Page, site: Served
) -> None:
    page.goto(f"/runs/{site.run}/trade")
    boxes = page.locator("[data-pick]")
    numbers = [boxes.nth(place).get_attribute("data-pick") for place in range(2)]
    for number in numbers:
        page.locator(f"[data-pick='{number}']").check()
    assert f"picks={numbers[0]}%2C{numbers[1]}" in page.url
    page.get_by_role("link", name="The picks").click()
    heads = page.get_by_role("region", name="Mission").locator("thead th")
    expect(heads).to_have_text(["quantity", "baseline", *(f"design {one}" for one in numbers)])
    told = page.request.get(f"/v1/runs/{site.run}/designs/{numbers[0]}").json()
    mass = page.get_by_role("region", name="Mission").locator("tr", has_text="total_mass")
    expect(mass.locator("td").nth(1)).to_contain_text(f"{told['objectives']['total_mass']:.4g} kg")
    page.reload()
    expect(heads).to_have_count(4)


def test_no_more_than_six_are_picked(page: Page, site: Served) -> None:
    page.goto(f"/runs/{site.many}/trade?picks=1,2,3,4,5,6")
    expect(page.locator("[data-pick]:enabled:not(:checked)")).to_have_count(0)


def test_a_sheet_shows_the_numbers_of_the_design(page: Page, site: Served) -> None:
    page.goto(f"/runs/{site.run}/designs/0")
    told = page.request.get(f"/v1/runs/{site.run}/designs/0/sheet").json()
    expect(page.get_by_text(told["verdict"])).to_be_visible()
    for table in told["tables"]:
        expect(page.get_by_role("heading", name=table["title"], exact=True)).to_be_visible()
    total = next(row for row in told["sections"]["mass"] if row["item"] == "whole robot")[
        "predicted"
    ]["value"]
    cells = page.get_by_role("region", name="Mass statement", exact=True).locator("tr").last
    expect(cells).to_contain_text(f"{total:.2f}")


@pytest.mark.parametrize(
    ("button", "suffix"),
    [("Save: Front as CSV", "-front.csv"), ("Save: All designs as CSV", "-designs.csv")],
)
def test_tables_are_saved(page: Page, site: Served, button: str, suffix: str) -> None:
    page.goto(f"/runs/{site.run}/handover")
    with page.expect_download() as coming:
        page.get_by_role("button", name=button, exact=True).click()
    assert coming.value.suggested_filename == f"{site.run}{suffix}"
    rows = list(csv.reader(io.StringIO(Path(coming.value.path()).read_text(encoding="utf-8"))))
    assert len(rows) > 2
    assert any("[km]" in head for head in rows[0])


def test_the_front_is_saved_as_json(page: Page, site: Served) -> None:
    page.goto(f"/runs/{site.run}/handover")
    with page.expect_download() as coming:
        page.get_by_role("button", name="Save: Front as JSON", exact=True).click()
    saved = json.loads(Path(coming.value.path()).read_text(encoding="utf-8"))
    assert saved["run"] == site.run


def test_the_deck_is_saved_with_the_picks(page: Page, site: Served, tmp_path: Path) -> None:
    page.goto(f"/runs/{site.run}/handover?picks={site.best}")
    with page.expect_download(timeout=SLOW) as coming:
        page.get_by_role("button", name="Save: Review deck", exact=True).click()
    assert coming.value.suggested_filename == f"{site.run}.pptx"
    saved = Path(coming.value.path())
    with tradeopt.Client(site.address) as client:
        written = client.deck(site.run, tmp_path / "review.pptx", picks=[site.best])
    assert written.read_bytes() == saved.read_bytes()
    slides = Presentation(str(saved)).slides
    texts = [shape.text for slide in slides for shape in slide.shapes if shape.has_text_frame]
    assert any(f"design {site.best}" in text.lower() for text in texts)


def test_what_a_design_hangs_on_is_worked_out_when_asked(page: Page, site: Served) -> None:
    page.goto(f"/runs/{site.run}/drivers?picks={site.best}")
    page.get_by_role("button", name="Work it out").click()
    words = page.get_by_text(f"Design {site.best}, recommended by hand")
    expect(words).to_be_visible(timeout=SLOW)
    expect(page.get_by_role("heading", name="Tightest limits")).to_be_visible()
    expect(page.get_by_role("heading", name="Worth of each mechanism")).to_be_visible()
