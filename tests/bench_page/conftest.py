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


@pytest.fixture
def opening(tmp_path):
    """Opens benches, and ends them."""
    some = []

    def start(folder=None):
        some.append(open_bench(folder or tmp_path / "bench"))
        return some[-1]

    yield start
    for each in some:
        if each.process.poll() is None:
            each.process.terminate()
            each.process.wait(10)
        assert "Traceback" not in each.folder.with_name(f"{each.folder.name}.log").read_text()


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
        return page

    yield show
    for each in contexts:
        each.close()


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
