"""The trade with 10,000 designs: brushes, boxes, keys, and how fast it is drawn."""

import re

from playwright.sync_api import Page, expect

from tests.browser.served import Served

KEPT = re.compile(r"([\d,]+) of ([\d,]+) designs kept, ([\d,]+)")
QUICK = 0.2
"""Seconds within which a brush is to be seen."""


def kept(page: Page, *, fewer: bool = False) -> tuple[int, int, int]:
    """Return designs kept, all of them, and those kept that meet every limit."""
    told = page.get_by_text(KEPT).first
    if fewer:
        expect(told).not_to_contain_text("10,000 of 10,000")
    words = told.inner_text()
    found = KEPT.search(words)
    assert found, words
    one, other, third = (int(part.replace(",", "")) for part in found.groups())
    return one, other, third


def open_trade(page: Page, site: Served, query: str = "") -> None:
    page.goto(f"/runs/{site.many}/trade{query}")
    page.get_by_text(KEPT).first.wait_for()


def test_boxes_filter_all_three_views_by_the_same_numbers(page: Page, site: Served) -> None:
    open_trade(page, site)
    assert kept(page)[:2] == (10_000, 10_000)
    page.get_by_label("range, from, km").fill("20")
    page.get_by_label("range, from, km").blur()
    expect(page.get_by_text(KEPT).first).not_to_contain_text("10,000 of 10,000")
    columns = page.request.get(f"/v1/runs/{site.many}/designs?min.range=20 km&limit=1").json()
    assert kept(page)[0] == columns["total"]
    assert "range%7E20%7E" in page.url
    page.reload()
    page.get_by_text(KEPT).first.wait_for()
    assert kept(page)[0] == columns["total"]
    expect(page.get_by_label("range, from, km")).to_have_value("20")


def test_a_brush_along_an_axis_fills_the_boxes(page: Page, site: Served) -> None:
    open_trade(page, site)
    canvas = page.get_by_role("region", name="Lines over axes").locator("canvas")
    canvas.scroll_into_view_if_needed()
    frame = canvas.bounding_box()
    assert frame
    x = frame["x"] + 52
    page.mouse.move(x, frame["y"] + 150)
    page.mouse.down()
    page.mouse.move(x, frame["y"] + 200)
    page.mouse.move(x, frame["y"] + 300)
    page.mouse.up()
    expect(page.get_by_label("range, to, km")).not_to_have_value("")
    low = float(page.get_by_label("range, from, km").input_value())
    high = float(page.get_by_label("range, to, km").input_value())
    assert 0.0 < low < high
    assert 0 < kept(page, fewer=True)[0] < 10_000
    page.mouse.click(x, frame["y"] + 250)
    expect(page.get_by_text(KEPT).first).to_contain_text("10,000 of 10,000")


def test_a_frame_in_the_picture_keeps_what_lies_inside(page: Page, site: Served) -> None:
    open_trade(page, site)
    frame = page.locator(".plot canvas").bounding_box()
    assert frame
    page.mouse.move(frame["x"] + 300, frame["y"] + 100)
    page.mouse.down()
    page.mouse.move(frame["x"] + 500, frame["y"] + 300)
    page.mouse.up()
    assert 0 < kept(page, fewer=True)[0] < 10_000
    for name in ("range, from, km", "total mass, to, kg"):
        expect(page.get_by_label(name)).not_to_have_value("")


def test_keys_go_through_the_front_and_pick(page: Page, site: Served) -> None:
    open_trade(page, site)
    page.locator(".plot canvas").focus()
    page.keyboard.press("ArrowRight")
    expect(page.locator(".card")).to_contain_text(re.compile(r"Design \d+: range [\d.]+ km"))
    page.keyboard.press("p")
    expect(page.locator(".card")).to_contain_text("Put back")
    assert "picks=" in page.url
    expect(page.get_by_role("status")).to_contain_text("picked, 1 of 6")


def test_only_designs_that_meet_every_limit(page: Page, site: Served) -> None:
    open_trade(page, site)
    page.get_by_label("only designs that meet every limit").check()
    many, _, meeting = kept(page, fewer=True)
    run = page.request.get(f"/v1/runs/{site.many}").json()
    assert many == meeting == run["feasible"]


def test_a_brush_over_10000_designs_is_seen_at_once(page: Page, site: Served) -> None:
    open_trade(page, site)
    times = page.evaluate(
        """async () => {
          const box = document.querySelector("input[aria-label='range, from, km']");
          const times = [];
          for (const value of ["1", "2", "1.5", "0.5", "1"]) {
            const now = document.querySelector("input[aria-label='range, from, km']");
            const began = performance.now();
            now.value = value;
            now.dispatchEvent(new Event("change"));
            await new Promise((drawn) => requestAnimationFrame(() => setTimeout(drawn)));
            times.push((performance.now() - began) / 1000);
          }
          return times;
        }"""
    )
    assert min(times) < QUICK, times
