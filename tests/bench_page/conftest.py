"""A bench that is open on a folder of its own, and Chromium before it."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import pytest

pytest.importorskip("starlette")
pytest.importorskip("uvicorn")
CHROMIUM = shutil.which("chromium")
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--enable-unsafe-swiftshader", "--use-angle=swiftshader",
]  # fmt: skip


@dataclass
class Opened:
    """A bench in a process of its own."""

    folder: Path
    process: subprocess.Popen
    address: str

    @property
    def origin(self) -> str:
        return self.address.partition("/?")[0]

    @property
    def token(self) -> str:
        return self.address.partition("token=")[2]

    def kill(self) -> None:
        """As by a power cut."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(10)


def open_bench(folder: Path) -> Opened:
    """Start `nests bench` on a folder, and wait for its address."""
    folder.parent.mkdir(exist_ok=True)
    said = folder.with_name(f"{folder.name}.log").open("a+")
    process = subprocess.Popen(
        [sys.executable, "-m", "nests", "bench", str(folder), "--no-browser"],
        stdout=subprocess.PIPE, stderr=said, text=True, env={**os.environ},
    )  # fmt: skip
    assert process.stdout is not None
    for line in process.stdout:
        if line.startswith("open "):
            return Opened(folder, process, line.split()[1])
    said.seek(0)
    raise AssertionError(said.read())


def sound(opened: Opened) -> None:
    """Nothing went wrong in it that only its terminal tells."""
    said = opened.folder.with_name(f"{opened.folder.name}.log").read_text()
    assert "Traceback" not in said, said


@pytest.fixture
def opening(tmp_path):
    """Opens benches of its own, and ends them."""
    some = []

    def start(folder=None):
        some.append(open_bench(folder or tmp_path / "bench"))
        return some[-1]

    yield start
    for each in some:
        if each.process.poll() is None:
            each.kill()
        sound(each)


@pytest.fixture(scope="session")
def one_bench(tmp_path_factory):
    """A bench for all tests that do not need one of their own: to be ready it takes three
    processes some seconds."""
    opened = open_bench(tmp_path_factory.mktemp("shared") / "bench")
    yield opened
    opened.process.terminate()
    assert opened.process.wait(10) in (0, -signal.SIGTERM)
    sound(opened)


AT_THE_START: set[str] = set()
"""Addresses of benches whose next tab is to show what is asked where nothing is begun."""


@pytest.fixture
def shared(one_bench):
    """The shared bench: its drawer, packs and photographs are those of this test, and the first tab
    begins anew."""

    def start():
        for each in one_bench.folder.iterdir():
            if each.is_dir() and each.name != "steps":
                shutil.rmtree(each)
            elif each.name.startswith("photograph"):
                each.unlink()
        AT_THE_START.add(one_bench.address)
        return one_bench

    yield start
    AT_THE_START.clear()
    sound(one_bench)


@pytest.fixture(scope="session")
def browser():
    if CHROMIUM is None:
        pytest.skip("chromium is not on this machine")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        shown = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield shown
        shown.close()


@pytest.fixture
def tab(browser):
    """Opens tabs, each with a memory of its own; every request and error is kept."""
    contexts = []

    def show(address, context=None, **more):
        if context is None:
            context = browser.new_context(viewport={"width": 1280, "height": 860}, **more)
            contexts.append(context)
        page = context.new_page()
        page.asked, page.errors = [], []
        page.on("request", lambda request: page.asked.append(request.url))
        page.on("pageerror", lambda error: page.errors.append(str(error)))
        page.on("console", lambda m: page.errors.append(m.text) if m.type == "error" else None)
        page.set_default_timeout(15_000)
        page.goto(address)
        until(page, "window.nestsBench?.state.shape >= 0 || !document.querySelector('#board')")
        if address in AT_THE_START:
            AT_THE_START.discard(address)
            begin_anew(page)
        return page

    yield show
    for each in contexts:
        each.close()


def begin_anew(page) -> None:
    """Put another sheet before the one that lies on the bench; nothing of that is seen any more."""
    until(
        page,
        "window.nestsBench.state.shape === 0 || document.querySelector('#board').dataset.painted",
    )
    until(page, "document.querySelector('#start form') || document.querySelector('[data-leave]')")
    if page.locator("[data-leave]").count():
        page.locator("[data-leave]").click()
    page.wait_for_selector("#start form")
    page.evaluate("""() => { for (const each of ['section', 'margin', 'slip']) {
        const place = document.getElementById(each);
        place.replaceChildren();
        place.dataset.last = '';
    } }""")


def until(page, truth: str, seconds: float = 20.0):
    """Wait until an expression is true on the page. Playwright's own way evaluates a text inside
    the page, which its policy forbids."""
    end = time.monotonic() + seconds
    while not (found := page.evaluate(truth)):
        assert time.monotonic() < end, f"never came true: {truth}"
        page.wait_for_timeout(25)
    return found


def settled(page) -> None:
    """Wait until every change asked for is shown and every check has been asked of it."""
    until(
        page,
        "!document.querySelector('.block .verdict .mark.busy') && !document.querySelector('.busy')"
        " && !document.querySelector('[aria-busy]')",
        60.0,
    )
