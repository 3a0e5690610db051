"""One whole run by the keyboard alone: no pointer is touched from the empty page to the pack.

WCAG 2.2, 2.1.1 (keyboard), 2.4.3 (focus order), 2.4.7 (focus visible).
"""

from __future__ import annotations

import json

import pytest

from nests.given.sheet import Sheet
from nests.kinds import read
from tests.bench_page.conftest import settled, until

pytestmark = pytest.mark.slow


def tab_to(page, selector, back=False, most=90):
    """Press Tab until what has the focus is wanted."""
    for _ in range(most):
        if page.evaluate("s => document.activeElement.matches(s)", selector):
            return
        page.keyboard.press("Shift+Tab" if back else "Tab")
    raise AssertionError(f"{selector} is not reached by Tab")


def fill(page, selector, text):
    tab_to(page, selector)
    page.keyboard.press("Control+a")
    page.keyboard.type(text)


def added(page):
    page.keyboard.press("Enter")
    until(page, "!document.querySelector('form[data-add]')")
    until(page, "document.activeElement.id === 'slip-title'")


def test_hand_setting_by_the_keyboard_alone(shared, tab):
    opened = shared()
    page = tab(opened.address)
    new = "form[data-do=new]"
    for name, text in (("name", "MINE 26"), ("diameter", "26"), ("rim", "1.7"),
                       ("dial_height", "1.2"), ("bridge_height", "2.0")):  # fmt: skip
        fill(page, f"{new} [name={name}]", text)
    page.keyboard.press("Enter")
    page.wait_for_selector("#view svg.plan")
    until(page, "document.activeElement.id === 'slip-title'")
    tab_to(page, '[data-key="new sheet:/stem"]')
    page.keyboard.press("Enter")
    fill(page, 'form[data-add] [data-at="/depth"]', "0.85")
    added(page)
    tab_to(page, '[data-key="new sheet:/arbors"]')
    page.keyboard.press("Enter")
    fill(page, 'form[data-add] [data-at="/name"]', "centre")
    fill(page, 'form[data-add] [data-at="/at"] [name=hour]', "12")
    fill(page, 'form[data-add] [data-at="/at"] [name=radius]', "0")
    fill(page, 'form[data-add] [data-at="/carries"]', "hour hand, minute hand")
    added(page)
    # to the plan, to the arbor, to its slip, and a jewel into it
    page.keyboard.press("p")
    tab_to(page, 'g.arbor[data-at="sheet:/arbors/0"]')
    page.keyboard.press("Enter")
    until(page, "document.querySelector('#slip-title').textContent === 'centre'")
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.matches('g.arbor')")
    page.keyboard.press("Enter")
    until(page, "document.activeElement.matches('#slip input')")
    tab_to(page, '[data-new="sheet:/arbors/0/jewels"]')
    page.keyboard.press("Enter")
    tab_to(page, 'form[data-add] [data-at="/side"]', back=True)
    page.keyboard.type("bridge")
    fill(page, 'form[data-add] [data-at="/diameter"]', "1.6")
    fill(page, 'form[data-add] [data-at="/height"]', "1.3")
    added(page)
    # it is moved by the arrows: a hundredth, a tenth
    page.keyboard.press("p")
    tab_to(page, "g.arbor")
    for key in ("ArrowRight", "Shift+ArrowUp", "Shift+ArrowUp"):
        with page.expect_response("**/change"):
            page.keyboard.press(key)
    until(page, "document.activeElement.matches('g.arbor')")
    at = json.loads((opened.folder / "sheet.json").read_text())["arbors"][0]["at"]
    assert at == {"x": 0.01, "y": 0.2, "read_from": "dial"}
    # seen from the other side it is moved as it is looked at
    page.keyboard.press("f")
    page.keyboard.press("p")
    tab_to(page, "#bridge g.arbor")
    with page.expect_response("**/change"):
        page.keyboard.press("ArrowRight")
    at = json.loads((opened.folder / "sheet.json").read_text())["arbors"][0]["at"]
    assert at == {"x": 0.0, "y": 0.2, "read_from": "bridge"}
    page.keyboard.press("Control+z")
    until(page, "document.querySelector('[data-key=redo]').disabled === false")
    page.keyboard.press("b")
    tab_to(page, "[data-key=operation]")
    with page.expect_response("**/change"):
        page.keyboard.type("hand")
    page.wait_for_selector("svg.section .arrow")
    assert page.evaluate("document.activeElement.matches('[data-key=operation]')")
    settled(page)
    tab_to(page, "#papers")
    page.keyboard.press("Space")
    tab_to(page, "#take", back=True)
    page.keyboard.press("Enter")
    page.wait_for_selector(".files a", timeout=60_000)
    tab_to(page, '.files a[download="holder.3mf"]')
    with page.expect_download() as got:
        page.keyboard.press("Enter")
    assert got.value.suggested_filename == "holder.3mf"
    assert page.errors == []


def test_quick_presses_are_all_counted(shared, tab):
    """Faster than the plan answers: each goes on from where the last one was asked to."""
    opened = shared()
    page = tab(opened.address)
    page.locator("form[data-do=open] button").click()
    page.wait_for_selector("#view svg.plan")
    settled(page)
    before = read(opened.folder / "sheet.json", Sheet).arbors
    page.locator("#view g.arbor").nth(1).focus()
    for _ in range(6):
        page.keyboard.press("Shift+ArrowUp")
    page.keyboard.press("ArrowUp")
    for _ in range(100):
        page.wait_for_timeout(100)
        after = read(opened.folder / "sheet.json", Sheet).arbors
        moved = [new.at.y - old.at.y for old, new in zip(before, after, strict=True)]
        if max(moved) > 0.605:
            break
    # a place that was read by hour and radius is kept so, to so many digits
    assert sorted(moved) == pytest.approx([*[0.0] * (len(moved) - 1), 0.61], abs=2e-4)
    assert page.errors == []


def test_what_has_the_focus_is_seen(shared, tab):
    """Every thing that Tab comes to has an outline or another stroke than before."""
    page = tab(shared().address)
    page.locator("form[data-do=open] button").click()
    page.wait_for_selector("#view svg.plan")
    settled(page)
    seen = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        told = page.evaluate("""() => {
          const each = document.activeElement;
          if (each === document.body) return ['', true];
          const inside = each.querySelector('path, circle') ?? each;
          const look = getComputedStyle(each), inner = getComputedStyle(inside);
          const lined = look.outlineStyle !== 'none' && parseFloat(look.outlineWidth) >= 2;
          return [each.outerHTML.slice(0, 90), lined || inner.strokeWidth.startsWith('1.2')];
        }""")
        seen.add(told[0])
        assert told[1], told[0]
    assert len(seen) > 20
