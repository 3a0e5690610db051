"""From an empty page to the pack in a real browser; the 3MF is that of the command line, byte for
byte."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from nests.documents.files import data_folder
from nests.faces.cli import cli
from tests.bench_page.conftest import settled, until

pytestmark = pytest.mark.slow


def same_pack(page, opened, arguments, out, papers=False):
    """Take the pack while the command line makes the same; the folder of the first."""
    page.locator("#papers").set_checked(papers)
    page.get_by_role("button", name="Take the pack").click()
    told = CliRunner().invoke(cli, ["make", *arguments, "--no-papers", "--out", str(out)])
    assert told.exit_code == 0, told.output
    page.wait_for_selector(".files", timeout=60_000)
    (folder,) = (opened.folder / "packs").iterdir()
    for name in ("holder.3mf", "holder.stl", "recipe.json"):
        assert (folder / name).read_bytes() == (out / name).read_bytes(), name
    return folder


def test_round_holder_by_its_diameter(shared, tab, tmp_path):
    opened = shared()
    page = tab(opened.address)
    card = page.locator("form[data-do=sizes]")
    card.locator("[name=diameter]").fill("26.0")
    card.locator("[name=height]").fill("4.6")
    card.get_by_role("button", name="Make it").click()
    page.wait_for_selector("svg.section")
    settled(page)
    arguments = ["round", "--diameter", "26.0", "--height", "4.6"]
    made = same_pack(page, opened, arguments, tmp_path / "cli", papers=True)
    assert (made / "drawing.pdf").exists()
    assert "Taken as usual" in (made / "report.html").read_text()
    with page.expect_download() as got:
        page.get_by_role("link", name="holder.3mf").click()
    assert got.value.path().read_bytes() == (made / "holder.3mf").read_bytes()
    assert page.errors == []
    assert {url.split("/", 3)[2] for url in page.asked if not url.startswith("blob:")} == {
        opened.origin.removeprefix("http://")
    }


def new_sheet(page, kind="movement", **texts):
    card = page.locator("form[data-do=new]")
    card.locator("[name=kind]").select_option(kind)
    for name, text in texts.items():
        card.locator(f"[name={name}]").fill(text)
    card.get_by_role("button", name="Draw it").click()
    page.wait_for_selector("#view svg.plan")


def add(page, what, **texts):
    """Add a thing from its slip; a pointer's '/' is written '__'."""
    if page.get_by_role("button", name="all that is measured").count():
        page.get_by_role("button", name="all that is measured").click()
    page.locator(f'[data-key="new sheet:/{what}"]').click()
    draft = page.locator(f'form[data-add="sheet:/{what}"]')
    draft.wait_for()
    if shape := texts.pop("zone__shape", None):
        draft.locator('[data-at="/zone/shape"]').select_option(shape)
        draft.locator('[data-at="/zone/outer"]').wait_for()
    for name, text in texts.items():
        *above, last = name.split("__")
        if last in ("hour", "radius", "x", "y", "read", "near") and above:
            field = draft.locator(f'[data-at="/{"/".join(above)}"] [name={last}]')
        else:
            field = draft.locator(f'[data-at="/{name.replace("__", "/")}"]')
        if field.evaluate("each => each.tagName") == "SELECT":
            field.select_option(text)
        else:
            field.fill(text)
    draft.get_by_role("button", name="Put it on the sheet").click()
    until(page, f"!document.querySelector('form[data-add=\"sheet:/{what}\"]')")


def say(page, operation, family=None):
    with page.expect_response("**/change"):
        page.locator("[data-key=operation]").select_option(operation)
    if family:
        until(page, "document.querySelector('[data-key=operation]').value !== ''")
        with page.expect_response("**/change"):
            page.locator("[data-key=family]").select_option(family)


def test_pushers_added_for_a_chronograph(shared, tab, tmp_path):
    opened = shared()
    page = tab(opened.address)
    data = json.loads((data_folder("gallery") / "sheets" / "inv-30-c.json").read_text())
    pushers = data.pop("pushers")
    (tmp_path / "mine.json").write_text(json.dumps(data))
    page.locator("#bring").set_input_files(tmp_path / "mine.json")
    page.wait_for_selector("#view svg.plan")
    say(page, "chronograph-hands")
    page.wait_for_selector(".fault-slip:has-text('pusher')")
    for each in pushers:
        add(page, "pushers", **{key: str(value) for key, value in each.items()})
    say(page, "chronograph-hands", "chronograph")
    page.wait_for_selector("svg.section")
    sheet = str(opened.folder / "sheet.json")
    arguments = ["chronograph", "--sheet", sheet, "--operation", "chronograph-hands"]
    same_pack(page, opened, arguments, tmp_path / "cli")
    assert page.errors == []


def test_cradle_for_a_sub_assembly(shared, tab, tmp_path):
    opened = shared()
    page = tab(opened.address)
    new_sheet(page, "sub-assembly", name="INV 18 works", diameter="18.4", rim="0.7",
              dial_height="0.9", bridge_height="0.6")  # fmt: skip
    for number, hour in enumerate(("1", "5", "9"), 1):
        add(page, "rests", name=f"foot {number}", side="dial", height="0.4",
            zone__centre__hour=hour, zone__centre__radius="7.2", zone__diameter="2.4")  # fmt: skip
    add(page, "rests", zone__shape="ring", name="rim", side="bridge", height="0",
        zone__outer="18.4", zone__inner="15.6")  # fmt: skip
    with page.expect_response("**/change"):
        page.locator("[data-key=family]").select_option("cradle")
    page.wait_for_selector("svg.section")
    arguments = ["cradle", "--sheet", str(opened.folder / "sheet.json")]
    same_pack(page, opened, arguments, tmp_path / "cli")
    assert page.errors == []


def test_a_jewel_typed_on_the_wrong_side_is_caught(shared, tab, tmp_path):
    opened = shared()
    page = tab(opened.address)
    new_sheet(page, name="MINE 26", diameter="26.0", rim="1.7", dial_height="1.2",
              bridge_height="2.0")  # fmt: skip
    add(page, "stem", hour="3", depth="0.85")
    add(page, "arbors", name="centre", at__hour="12", at__radius="0",
        carries="hour hand, minute hand")  # fmt: skip
    add(page, "rests", name="barrel bridge", side="bridge", height="1.2", zone__centre__hour="1.4",
        zone__centre__radius="7.4", zone__diameter="3.2")  # fmt: skip
    page.locator('[data-open="sheet:/arbors/0"]').first.click()
    page.locator('#slip [data-new="sheet:/arbors/0/jewels"]').click()
    draft = page.locator('form[data-add="sheet:/arbors/0/jewels"]')
    draft.locator('[data-at="/side"]').select_option("dial")
    draft.locator('[data-at="/diameter"]').fill("1.6")
    draft.locator('[data-at="/height"]').fill("1.1")
    draft.get_by_role("button", name="Put it on the sheet").click()
    until(page, "!document.querySelector('form[data-add]')")
    say(page, "hand-setting", "hand-setting")
    caught = page.wait_for_selector(".fault-slip:has-text('jewel')")
    assert "'centre'" in caught.inner_text()
    assert "bridge" in caught.inner_text()
    assert page.get_by_role("button", name="Take the pack").is_disabled()
    with page.expect_response("**/change"):
        page.locator('#slip [data-at="sheet:/arbors/0/jewels/0/side"]').select_option("bridge")
    page.wait_for_selector("svg.section .arrow")
    sheet = str(opened.folder / "sheet.json")
    arguments = ["hand-setting", "--sheet", sheet, "--operation", "hand-setting"]
    same_pack(page, opened, arguments, tmp_path / "cli")
    assert page.errors == []
