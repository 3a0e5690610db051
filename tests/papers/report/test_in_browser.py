"""The report page in Chromium: axe-core finds nothing, and a phone shows it without scrolling."""

from __future__ import annotations

import shutil

import pytest

from nests.papers.report import page

CHROMIUM = shutil.which("chromium")
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--enable-unsafe-swiftshader", "--use-angle=swiftshader",
]  # fmt: skip

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="chromium is not on this machine"),
]


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        shown = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield shown
        shown.close()


@pytest.mark.parametrize("width", [390, 1000])
def test_axe_finds_nothing(browser, reported, width):
    """axe-core, all rules of WCAG 2.1 A and AA and best practice: 0 violations."""
    from axe_playwright_python.sync_playwright import Axe

    asked = []
    tab = browser.new_page(viewport={"width": width, "height": 800})
    tab.on("request", lambda request: asked.append(request.url))
    tab.set_content(page(reported[1]).decode())
    tab.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    found = Axe().run(tab)
    assert found.violations_count == 0, found.generate_report()
    assert not [url for url in asked if not url.startswith("data:")]
    wide = tab.evaluate("document.documentElement.scrollWidth")
    tab.close()
    assert wide <= width
