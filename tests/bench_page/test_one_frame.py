"""Plan, cut and solid of a change come in one frame: none is ever seen beside an older other."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tests.bench_page.conftest import settled, until

pytestmark = pytest.mark.slow
WATCH = """(name) => {
  const frames = window.frames_seen = [], numbers = new WeakMap();
  let last = 0;
  const number = (set) => {
    if (!numbers.has(set)) numbers.set(set, last += 1);
    return numbers.get(set);
  };
  const look = () => {
    const thing = document.querySelector(`#view [data-light='${name}'][data-place]`);
    const cut = document.getElementById('section').dataset.last;
    const solid = number(window.nestsBench.solid.sets['/scene']);
    frames.push([`${thing.dataset.x} ${thing.dataset.y}`, cut, solid]);
    requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
  document.querySelector(`#view [data-light='${name}'][data-place]`).focus();
}"""


def test_no_frame_has_a_new_plan_and_an_old_cut_or_solid(shared, tab):
    """The jewel of the centre is moved; its post goes with it, and stands in the cut."""
    page = tab(shared().address)
    page.locator("form[data-do=open] select").select_option("inv-26-a")
    page.get_by_role("button", name="Open it").click()
    page.wait_for_selector("#view svg.plan")
    page.locator("[data-key=operation]").select_option("hand-setting")
    page.wait_for_selector("svg.section")
    settled(page)
    page.evaluate(WATCH, "centre")
    serial = page.evaluate("window.nestsBench.state.serial")
    for key in ("Shift+ArrowRight", "Shift+ArrowUp"):
        page.keyboard.press(key)
    until(page, f"Number(document.getElementById('board').dataset.painted) >= {serial + 2}")
    settled(page)
    seen = [tuple(each) for each in page.evaluate("window.frames_seen")]
    steps = [(a, b) for a, b in pairwise(seen) if a != b]
    places = [(a, b) for a, b in steps if a[0] != b[0]]
    assert len(places) == 2
    for before, after in places:
        assert before[2] != after[2]
    # afterwards only the family may have put other parts there, in one frame too
    for before, after in steps:
        assert before[2] != after[2]
    assert len({cut for _, cut, _ in seen}) >= 2
