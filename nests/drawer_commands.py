"""The drawer's commands: a face without rules of its own."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from nests.typed_options import NumberType
from nests.units import BadInput, read_length

if TYPE_CHECKING:
    from nests.drawer.search import Found, Match
    from nests.kept import KeptHolder

F = TypeVar("F", bound=Callable[..., Any])
PATH = click.Path(path_type=Path)
DRAWER = click.option("--drawer", "folder", type=PATH, required=True, help="folder of the drawer")
DATE = click.option("--date", default=None, help="year-month-day; today if none is given")
NOTE = click.option("--note", default="", help="anything to remember")
BY = click.option("--by", default="", envvar="NESTS_BY", show_envvar=True, help="who does it")


def _gauged(command: F) -> F:
    """What was measured on a print: pairs, and what is said beside them."""
    for option in (
        click.option("--gauge", default="", help="what it was gauged with"),
        click.option("--mass", type=NumberType("g", "0.05 to 2000 g"), default=None, help="mass"),
        click.argument("readings", nargs=-1, metavar="[NAME=VALUE]..."),
    ):
        command = option(command)
    return command


def _say_open(kept: KeptHolder, folder: Path) -> None:
    """What is worn, outside its limits or open, and the line to type for what is open."""
    from nests.drawer.filing import told
    from nests.drawer.gauged import asks_for

    for each in told(kept):
        click.echo(_line(f"{each.grade.mark} {each.sentence()}"))
    if line := asks_for(kept, folder):
        click.echo(_line(line))


def _date(given: str | None) -> str:
    return datetime.date.today().isoformat() if given is None else given


def _tell(says: str) -> None:
    click.echo(_line(f"note: {says}"), err=True)


def _line(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)


def _about(kept: KeptHolder) -> str:
    recipe = kept.recipe
    return (
        f"{kept.id}: {recipe.kind} for {recipe.workpiece.name}, {recipe.side_up.value} up, "
        f"{recipe.operation.name}"
    )


@click.command("file")
@click.argument("pack", type=PATH)
@DRAWER
@_gauged
@NOTE
@BY
@DATE
def file_(
    pack: Path, folder: Path, readings: tuple[str, ...], mass: float | None, gauge: str,
    note: str, by: str, date: str | None,
) -> None:  # fmt: skip
    """Put a printed holder into the drawer: PACK is its folder. Says the id it is given.

    What was gauged is given by the names of the acceptance list, such as seat=26.07 seat=26.09
    ledge=6.90 edges=good; by-eye=good says so of all that is tried. What is open is said.
    """
    from nests.drawer.filing import file_holder, recipe_of
    from nests.drawer.typed import typed

    recipe = recipe_of(pack)
    gauged = typed(readings, recipe, mass=mass, gauge=gauge)
    kept = file_holder(folder, recipe, gauged, date=_date(date), note=note, by=by, tell=_tell)
    click.echo(_line(f"{_about(kept)}; filed in {folder}."))
    _say_open(kept, folder)


@click.command()
@DRAWER
@click.option("--sheet", type=PATH, default=None, help="sheet of the movement")
@click.option("--operation", default=None, help="name of an operation of the work plan")
@click.option("--work", type=PATH, default=None, help="work plan; the usual operations if none")
@click.option("--diameter", default=None, metavar="MM", help="⌀ at the rim, instead of a sheet")
@click.option("--tolerance", default=None, metavar="MM", help="± on the ⌀ a seat was made for")
@click.option("--kind", type=click.Choice(["movement", "sub-assembly", "case"]),
              default="movement", help="what a ⌀ is of", show_default=True)  # fmt: skip
@click.option("--most", type=click.IntRange(1, 100), default=10, show_default=True,
              help="how many are judged or shown")  # fmt: skip
def find(
    folder: Path, sheet: Path | None, operation: str | None, work: Path | None,
    diameter: str | None, tolerance: str | None, kind: Any, most: int,
) -> None:  # fmt: skip
    """Find what in the drawer crosses over: for a movement (--sheet), or by ⌀ (--diameter).

    Best first, and for each what is not supported or not clear. Ends with 1 if nothing is free of
    a stop.
    """
    from nests.drawer.search import find_diameter

    within = None if tolerance is None else read_length(tolerance, "--tolerance").mm
    if (sheet is None) == (diameter is None):
        raise BadInput("give either --sheet FILE or --diameter MM.")
    if sheet is not None:
        found = _for_sheet(folder, sheet, operation, work, within, most)
        _show_judged(found)
        usable = any(each.grade.value != "stop" for each in found.judged)
    else:
        if operation is not None:
            raise BadInput("an operation is judged with a movement; give --sheet FILE.")
        across = read_length(str(diameter), "--diameter").mm
        found = find_diameter(folder, across, 0.1 if within is None else within, carries=kind,
                              most=most)  # fmt: skip
        for each in found.matches:
            click.echo(_line(f"  {_match(each)}"))
        usable = bool(found.matches)
    for says in found.unusable:
        click.echo(_line(f"# {says}"), err=True)
    click.echo(f"{found.count} seats come into question, {len(found.judged)} were judged.")
    if any(not each.at_bench for each in found.judged):
        click.echo("Where the sizes alone stop a holder, the solid was not looked at.")
    sys.exit(0 if usable else 1)


def _for_sheet(
    folder: Path, sheet: Path, operation: str | None, work: Path | None, within: float | None,
    most: int,
) -> Found:  # fmt: skip
    from nests.drawer.search import find as search
    from nests.kinds import read
    from nests.operation import USUAL, WorkPlan
    from nests.sheet import Sheet

    plan = read(work, WorkPlan) if work else USUAL
    chosen = plan.operation(operation) if operation else None
    return search(folder, read(sheet, Sheet), chosen, tolerance=within, most=most)


def _show_judged(found: Found) -> None:
    for each in found.judged:
        foot = ", seat in the foot" if each.seat.in_foot else ""
        gauged = "gauged" if each.seat.gauged else "as drawn"
        words = f"{_about(each.kept)}{foot}, seat {each.seat.bore:.2f} mm {gauged}"
        click.echo(_line(f"{each.grade.mark} {words}: {each.grade.value}."))
        for finding in each.findings:
            if finding.grade.value != "clear":
                click.echo(_line(f"    {finding.grade.mark} {finding.sentence()}"))


def _match(each: Match) -> str:
    foot = ", in the foot" if each.in_foot else ""
    return (
        f"{each.id}: seat {each.bore:.2f} mm{foot}, made for {each.takes:.2f} mm, "
        f"{each.up.value} up, {each.state}"
    )


@click.command()
@click.argument("holder")
@DRAWER
@click.option("--reason", required=True, help="why")
@NOTE
@BY
@DATE
def retire(holder: str, folder: Path, reason: str, note: str, by: str, date: str | None) -> None:
    """Take HOLDER out of use, by its id. It is no longer found; 'reinstate' brings it back."""
    from nests.drawer.changing import brings_back
    from nests.drawer.filing import retire as take_out

    kept = take_out(folder, holder, reason, date=_date(date), note=note, by=by, tell=_tell)
    click.echo(_line(f"{_about(kept)}: retired; {brings_back(kept, folder)}"))


@click.command()
@click.argument("holder")
@DRAWER
@NOTE
@BY
@DATE
def reinstate(holder: str, folder: Path, note: str, by: str, date: str | None) -> None:
    """Bring HOLDER back that was retired, by its id, as it stood before; no other is touched."""
    from nests.drawer.filing import reinstate as bring_back

    kept = bring_back(folder, holder, date=_date(date), note=note, by=by, tell=_tell)
    click.echo(_line(f"{_about(kept)}: {kept.now.state} again."))


@click.group()
def drawer() -> None:
    """Look after the drawer: list, show, measure, undo, redo, check, labels, export, import."""


@drawer.command("list")
@DRAWER
def list_(folder: Path) -> None:
    """List every holder with its state."""
    from nests.drawer.search import listed

    for holder, state in listed(folder):
        click.echo(f"{holder}  {state}")


@drawer.command()
@click.argument("holder")
@DRAWER
@_gauged
@NOTE
@BY
@DATE
def measure(
    holder: str, folder: Path, readings: tuple[str, ...], mass: float | None, gauge: str,
    note: str, by: str, date: str | None,
) -> None:  # fmt: skip
    """Keep what was measured on HOLDER now: seat=26.15, edges=good; says what is worn or open."""
    from nests.drawer.filing import measure as keep
    from nests.drawer.shelf import path_of, read_holder
    from nests.drawer.typed import typed

    recipe = read_holder(path_of(folder, holder)).recipe
    gauged = typed(readings, recipe, mass=mass, gauge=gauge)
    kept, _ = keep(folder, holder, gauged, date=_date(date), note=note, by=by, tell=_tell)
    _say_open(kept, folder)
    click.echo(_line(f"{_about(kept)}: {kept.now.state}."))


@drawer.command()
@click.argument("holder")
@DRAWER
def show(holder: str, folder: Path) -> None:
    """Show what is to be gauged and tried on HOLDER, what is known of it, and what is open."""
    from nests.drawer.gauged import gauged
    from nests.drawer.shelf import path_of, read_holder

    kept = read_holder(path_of(folder, holder))
    click.echo(_line(f"{_about(kept)}: {kept.now.state}."))
    rows, site = gauged(kept), kept.recipe.site()
    wide = max(len(each.row.name) for each in rows)
    for each in rows:
        about = f"{each.row.feature.says}, {each.row.where(site)}: {each.row.feature.limits()}"
        words = f"{each.grade.mark} {each.row.name:{wide}}  {each.known()}  ({about})"
        click.echo(_line(f"  {words}"))
    count = sum(each.open for each in rows)
    click.echo(f"{len(rows) - count} of {len(rows)} are known, {count} are open.")


@drawer.command()
@DRAWER
@click.option("--yes", is_flag=True, help="do not ask first")
@BY
@DATE
def undo(folder: Path, yes: bool, by: str, date: str | None) -> None:
    """Undo the last change of the whole drawer; again, the one before it.

    Says what it is, and asks before it does it. To bring back one retired holder: reinstate.
    """
    from nests.drawer.history import next_undo
    from nests.drawer.history import undo as take_back

    wanted = next_undo(folder)
    click.echo(_line(f"to be undone: {wanted.words()}."))
    if not yes:
        if not sys.stdin.isatty():
            raise BadInput("nothing was undone: nobody can be asked here; give --yes to undo it.")
        if not click.confirm("Undo it?"):
            click.echo("nothing was undone.")
            sys.exit(1)
    step = take_back(folder, date=_date(date), by=by, only=wanted.change.number)
    click.echo(_line(
        f"{_about(step.kept)}: '{step.change.did}' is undone; it is {step.kept.now.state}. "
        "'nests drawer redo' does it again."
    ))  # fmt: skip


@drawer.command()
@DRAWER
@BY
@DATE
def redo(folder: Path, by: str, date: str | None) -> None:
    """Do again what was undone last; again, what was undone before that.

    Any other change of the drawer ends this: what was undone before it stays undone.
    """
    from nests.drawer.history import redo as do_again

    step = do_again(folder, date=_date(date), by=by)
    click.echo(_line(f"redone: {step.words()}; {step.kept.id} is {step.kept.now.state}."))


@drawer.command()
@DRAWER
def check(folder: Path) -> None:
    """Read every document against its schema; ends with 2 if one cannot be used."""
    from nests.drawer.shelf import every_holder

    holders, unusable = every_holder(folder)
    for says in unusable:
        click.echo(_line(f"# {says}"))
    click.echo(f"{len(holders)} holders can be used, {len(unusable)} documents cannot.")
    sys.exit(2 if unusable else 0)


@drawer.command()
@DRAWER
@click.option("--out", type=PATH, required=True, help="HTML file to write")
@click.option("--columns", type=int, default=4, show_default=True, help="compartments across")
@click.option("--rows", type=int, default=6, show_default=True, help="compartments down")
@click.option("--title", default="Drawer", show_default=True, help="what the drawer is called")
def labels(folder: Path, out: Path, columns: int, rows: int, title: str) -> None:
    """Draw a map of the compartments and a label for every holder, A4, to print."""
    from nests.documents import write_file
    from nests.drawer.paper import drawer_page
    from nests.drawer.shelf import every_holder

    holders, unusable = every_holder(folder)
    for says in unusable:
        click.echo(_line(f"# {says}"), err=True)
    write_file(out, drawer_page(holders, columns=columns, rows=rows, title=title))
    click.echo(f"{len(holders)} holders drawn in {out}.")


@drawer.command()
@DRAWER
@click.option("--out", type=PATH, required=True, help="file to write")
def export(folder: Path, out: Path) -> None:
    """Write the whole drawer into one file."""
    from nests.drawer.carry import export as carry_out

    click.echo(f"{carry_out(folder, out)} holders in {out}.")


@drawer.command("import")
@click.argument("file", type=PATH)
@DRAWER
def import_(file: Path, folder: Path) -> None:
    """Make a new drawer from an exported FILE."""
    from nests.drawer.carry import import_drawer

    click.echo(f"{import_drawer(file, folder)} holders in {folder}.")
