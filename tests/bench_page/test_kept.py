"""What is done is kept: undone and done again across a reload, over a server that was killed, and
never over what another tab did."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

from nests.faces.page.journal import Journal, held
from nests.faces.page.work import Work
from nests.units import BadInput
from tests.bench_page.conftest import settled, until


def step(number):
    return Work(family="round", options={"diameter": 20.0 + number, "height": 4.0}, did=str(number))


def test_steps_are_undone_and_done_again_by_whoever_opens_the_folder(tmp_path):
    for number in range(4):
        Journal(tmp_path).keep(step(number))
    Journal(tmp_path).undo()
    Journal(tmp_path).undo()
    made = Journal(tmp_path)
    assert made.work == step(1)
    assert made.can_redo
    assert made.can_undo
    made.redo()
    assert Journal(tmp_path).work == step(2)
    made.keep(step(9))
    assert not Journal(tmp_path).can_redo
    assert Journal(tmp_path).serial == 8


def test_an_undo_has_a_serial_number_of_its_own(tmp_path):
    made = Journal(tmp_path)
    made.keep(step(0))
    made.keep(step(1))
    before = made.serial
    made.undo()
    made.redo()
    assert made.serial == before + 2
    assert made.work == step(1)


def test_nothing_is_undone_before_the_first(tmp_path):
    made = Journal(tmp_path)
    with pytest.raises(BadInput, match="nothing to undo"):
        made.undo()
    made.keep(step(0))
    made.undo()
    assert made.work.empty
    with pytest.raises(BadInput, match="nothing to undo"):
        made.undo()


def test_a_step_that_was_cut_off_is_as_if_it_had_never_been(tmp_path):
    """The place is written last: a step that lies there without it is not yet done."""
    made = Journal(tmp_path)
    made.keep(step(0))
    (tmp_path / "steps" / "000002.json").write_bytes(b'{"half": ')
    again = Journal(tmp_path)
    assert again.work == step(0)
    assert not again.can_redo
    again.keep(step(5))
    assert Journal(tmp_path).work == step(5)


def test_old_steps_are_let_go(tmp_path, monkeypatch):
    monkeypatch.setattr("nests.faces.page.journal.MOST_STEPS", 3)
    made = Journal(tmp_path)
    for number in range(8):
        made.keep(step(number))
    assert len(list((tmp_path / "steps").iterdir())) <= 4
    again = Journal(tmp_path)
    for _ in range(3):
        again.undo()
    assert again.work == step(4)
    assert not again.can_undo


def test_a_folder_is_held_by_one(tmp_path):
    with held(tmp_path), pytest.raises(BadInput, match="is open on another bench"), held(tmp_path):
        pass
    with held(tmp_path) as made:
        made.keep(step(0))


def test_a_broken_place_is_said(tmp_path):
    (tmp_path / "place.json").write_text('{"at": "x"}')
    with pytest.raises(BadInput, match="does not say where the work is"):
        Journal(tmp_path)


def begun(page, name="inv-26-a"):
    page.locator("form[data-do=open] select").select_option(name)
    page.get_by_role("button", name="Open it").click()
    page.wait_for_selector("#view svg.plan")


def typed(page, at, text):
    """Type into a field of the slip, and wait until it is taken or refused."""
    field = page.locator(f'#slip [data-at="{at}"]')
    field.fill(text)
    with page.expect_response("**/change"):
        field.press("Tab")


def sheet(opened):
    return json.loads((opened.folder / "sheet.json").read_text())


@pytest.mark.slow
def test_reload_killed_server_and_undo(opening, tab):
    opened = opening()
    page = tab(opened.address)
    begun(page)
    page.get_by_role("button", name="The whole").click()
    typed(page, "sheet:/rim", "1.8")
    typed(page, "sheet:/rim", "1.9")
    page.reload()
    page.wait_for_selector("#view svg.plan")
    assert sheet(opened)["rim"] == 1.9
    page.locator("[data-key=undo]").click()
    until(page, "!document.querySelector('[data-key=redo]').disabled")
    assert sheet(opened)["rim"] == 1.8
    opened.kill()
    again = opening(opened.folder)
    after = tab(again.address)
    after.wait_for_selector("#view svg.plan")
    with after.expect_response("**/change"):
        after.keyboard.press("r")
    assert sheet(again)["rim"] == 1.9
    for _ in range(3):
        with after.expect_response("**/change"):
            after.keyboard.press("u")
    after.wait_for_selector("text=What lies on the bench?")
    assert not (again.folder / "sheet.json").exists()
    assert after.errors == []


@pytest.mark.slow
def test_two_tabs_never_overwrite_each_other(shared, tab, browser):
    opened = shared()
    context = browser.new_context(viewport={"width": 1280, "height": 860})
    one = tab(opened.address, context)
    begun(one)
    one.get_by_role("button", name="The whole").click()
    # the second hears of nothing, as one whose line is slow
    two = tab(opened.origin, context)
    two.route("**/news*", lambda route: None)
    two.reload()
    two.get_by_role("button", name="The whole").click()
    two.wait_for_selector("#slip input")
    typed(one, "sheet:/rim", "1.85")
    typed(two, "sheet:/bridge_height", "2.4")
    assert sheet(opened)["rim"] == 1.85
    assert sheet(opened)["bridge_height"] == 1.9
    two.wait_for_selector("#notice:has-text('The newer state is shown')")
    until(two, """document.querySelector('#slip [data-at="sheet:/rim"]').value === '1.85'""")
    typed(two, "sheet:/bridge_height", "2.4")
    assert sheet(opened)["bridge_height"] == 2.4
    # and the first is shown it without asking
    until(one, """document.querySelector('[data-at="sheet:/bridge_height"]').value === '2.4'""")
    one.wait_for_selector("#notice:has-text('another page')")
    context.close()


@pytest.mark.slow
def test_a_bench_that_is_gone_is_said(opening, tab):
    opened = opening()
    page = tab(opened.address)
    begun(page)
    settled(page)
    opened.kill()
    page.keyboard.press("u")
    page.wait_for_selector("#notice:has-text('does not answer')")


def below(pid):
    """Processes that a process started, and those that these did."""
    try:
        listed = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    except OSError:
        pytest.skip("the system does not say which processes are below one")
    return [each for child in map(int, listed) for each in (child, *below(child))]


def runs(pid):
    """Whether a process runs, and is not only still listed."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@pytest.mark.slow
def test_no_helper_outlives_a_bench_that_was_killed(opening, tab):
    """Also one that is at a long errand, with children of its own."""
    opened = opening()
    page = tab(opened.address)
    begun(page)
    page.evaluate("fetch('/job', {method: 'POST', body: '{\"plan\": \"three-hand\"}'})")
    page.wait_for_timeout(1500)
    children = below(opened.process.pid)
    assert len(children) >= 2
    opened.kill()
    end = time.monotonic() + 10.0
    while [each for each in children if runs(each)]:
        assert time.monotonic() < end, "a helper is left"
        time.sleep(0.1)
