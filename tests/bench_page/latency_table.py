"""How long a change takes to be seen in a browser: `python tests/bench_page/latency_table.py`.

Medians of 50 edits for each piece of the gallery: an arbor, a rest or the stem moved by an arrow
key. Shape: from the key to the drawn frame in which plan, cut and solid are those of the new state.
Bench: until no check of the bench's side is left. Print: until none is left at all.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).parents[2]))
from tests.bench_page.conftest import CHROMIUM, FLAGS, open_bench, settled, until

EDITS = 50
PIECES = (
    ("inv-26-a", "train-work", "round", "balance"),
    ("inv-26-a", "hand-setting", "hand-setting", "third wheel"),
    ("inv-30-c", "chronograph-hands", "chronograph", "balance"),
)
WATCH = """(key) => new Promise((told) => {
  const board = document.getElementById('board'), start = performance.now(), out = {};
  const before = window.nestsBench.state.serial;
  const look = () => {
    const now = performance.now() - start, state = window.nestsBench.state;
    if (state.serial > before) {
      if (!out.shape && board.dataset.painted === String(state.serial)) out.shape = now;
      const busy = document.querySelector('.busy')?.textContent ?? '';
      if (out.shape && !out.bench && !busy.includes("bench's side")) out.bench = now;
      if (out.bench && !busy && !document.querySelector('.verdict .mark.busy')) {
        out.print = now;
        told(out);
        return;
      }
    }
    requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
  const pressed = new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true });
  document.activeElement.dispatchEvent(pressed);
})"""


def measure(page, name: str, operation: str, family: str, thing: str, edits: int) -> list[dict]:
    """Times of so many edits, in ms."""
    if page.locator("[data-leave]").count():
        page.locator('[data-open=""]').click() if page.locator('[data-open=""]').count() else None
        page.locator("[data-leave]").click()
    page.locator("form[data-do=open] select").select_option(name)
    page.get_by_role("button", name="Open it").click()
    page.wait_for_selector("#view svg.plan")
    page.locator("[data-key=operation]").select_option(operation)
    until(page, f"document.querySelector('[data-key=operation]').value === '{operation}'")
    if page.locator("[data-key=family]").input_value() != family:
        page.locator("[data-key=family]").select_option(family)
    page.wait_for_selector("svg.section")
    settled(page)
    out = []
    for edit in range(edits):
        page.evaluate(
            "n => document.querySelector(`#view [data-light='${n}'][data-place]`).focus()",
            thing,
        )
        out.append(page.evaluate(WATCH, "ArrowLeft" if edit % 4 in (0, 3) else "ArrowUp"))
        settled(page)
    return out


def main(edits: int = EDITS) -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        opened = open_bench(Path(folder) / "bench")
        shown = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = shown.new_page(viewport={"width": 1280, "height": 860})
        page.goto(opened.address)
        until(page, "window.nestsBench?.state.shape >= 0")
        print("| holder | shape ms | bench ms | print ms |\n|---|---|---|---|")
        for piece in PIECES:
            some = measure(page, *piece, edits)
            times = [
                statistics.median(each[k] for each in some) for k in ("shape", "bench", "print")
            ]
            told = " | ".join(f"{n:.0f}" for n in times)
            print(f"| {piece[2]} on {piece[0]} | {told} |", flush=True)
        shown.close()
        opened.process.terminate()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else EDITS)
