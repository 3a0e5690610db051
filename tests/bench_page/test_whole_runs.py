"""From an empty page to the pack in a real browser; the 3MF is that of the command line, byte for
byte."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from nests.faces.cli import cli
from tests.bench_page.conftest import settled

pytestmark = pytest.mark.slow


def packed(page, opened):
    """Take the pack, and wait for it: its folder."""
    settled(page)
    page.get_by_role("button", name="Take the pack").click()
    page.wait_for_selector(".files", timeout=60_000)
    (folder,) = (opened.folder / "packs").iterdir()
    return folder


def commanded(arguments, out):
    """What the command line makes of the same."""
    told = CliRunner().invoke(cli, ["make", *arguments, "--no-papers", "--out", str(out)])
    assert told.exit_code == 0, told.output
    return out


def same(one, other):
    for name in ("holder.3mf", "holder.stl", "recipe.json"):
        assert (one / name).read_bytes() == (other / name).read_bytes(), name


def test_round_holder_by_its_diameter(opening, tab, tmp_path):
    opened = opening()
    page = tab(opened.address)
    card = page.locator("form[data-do=sizes]")
    card.locator("[name=diameter]").fill("26.0")
    card.locator("[name=height]").fill("4.6")
    card.get_by_role("button", name="Make it").click()
    page.wait_for_selector("svg.section")
    made = packed(page, opened)
    same(made, commanded(["round", "--diameter", "26.0", "--height", "4.6"], tmp_path / "cli"))
    assert (made / "drawing.pdf").exists()
    with page.expect_download() as got:
        page.get_by_role("link", name="holder.3mf").click()
    assert open(got.value.path(), "rb").read() == (made / "holder.3mf").read_bytes()
    assert page.errors == []
    assert {url.split("/", 3)[2] for url in page.asked if not url.startswith("blob:")} == {
        opened.origin.removeprefix("http://")
    }
