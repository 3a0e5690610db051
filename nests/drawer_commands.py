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
    from nests.kept import KeptHolder, Readings

F = TypeVar("F", bound=Callable[..., Any])
PATH = click.Path(path_type=Path)
DRAWER = click.option("--drawer", "folder", type=PATH, required=True, help="folder of the drawer")
DATE = click.option("--date", default=None, help="year-month-day; today if none is given")
NOTE = click.option("--note", default="", help="anything to remember")


def _gauged(command: F) -> F:
    """Options for what was measured on a print."""
    for option in (
        click.option("--gauge", default="", help="what it was gauged with"),
        click.option("--mass", type=NumberType("g", "0.05 to 2000 g"), default=None, help="mass"),
        click.option("--post", "posts", multiple=True, metavar="NAME=MM",
                     help="height of the tip under NAME above the bench; may be repeated"),
        click.option("--ledge", default=None, metavar="MM", help="ledge above the bench"),
        click.option("--seat", "seats", multiple=True, metavar="MM",
                     help="⌀ of the seat, at one hour or more; may be repeated"),
    ):  # fmt: skip
        command = option(command)
    return command


def _readings(
    seats: tuple[str, ...], ledge: str | None, posts: tuple[str, ...], mass: float | None,
    gauge: str,
) -> Readings:  # fmt: skip
    from nests.drawer.filing import readings

    heights = {}
    for each in posts:
        name, _, height = each.rpartition("=")
        if not name:
            raise BadInput(f"--post is '{each}'; NAME=height is needed, such as centre=6.42.")
        if name in heights:
            raise BadInput(f"--post '{name}' is given twice.")
        heights[name] = read_length(height, f"--post {name}").mm
    return readings(
        [read_length(each, "--seat").mm for each in seats],
        None if ledge is None else read_length(ledge, "--ledge").mm,
        heights,
        mass,
        gauge,
    )


def _date(given: str | None) -> str:
    return datetime.date.today().isoformat() if given is None else given


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
@DATE
def file_(
    pack: Path, folder: Path, seats: tuple[str, ...], ledge: str | None, posts: tuple[str, ...],
    mass: float | None, gauge: str, note: str, date: str | None,
) -> None:  # fmt: skip
    """Put a printed holder into the drawer: PACK is its folder. Says the id it is given."""
    from nests.drawer.filing import file_holder, recipe_of

    gauged = _readings(seats, ledge, posts, mass, gauge)
    kept = file_holder(folder, recipe_of(pack), gauged, date=_date(date), note=note)
    click.echo(_line(f"{_about(kept)}; filed in {folder}."))


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
    from nests.jobs import plan_in
    from nests.kinds import read
    from nests.sheet import Sheet

    plan = plan_in(work)
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
@DATE
def retire(holder: str, folder: Path, reason: str, note: str, date: str | None) -> None:
    """Take HOLDER out of use, by its id. It is no longer found; 'drawer undo' brings it back."""
    from nests.drawer.filing import retire as take_out

    kept = take_out(folder, holder, reason, date=_date(date), note=note)
    click.echo(_line(f"{_about(kept)}: retired."))


@click.group()
def drawer() -> None:
    """Look after the drawer: list, measure, undo, check, labels, export, import."""


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
@DATE
def measure(
    holder: str, folder: Path, seats: tuple[str, ...], ledge: str | None, posts: tuple[str, ...],
    mass: float | None, gauge: str, note: str, date: str | None,
) -> None:  # fmt: skip
    """Keep what was measured on HOLDER now; says what is worn."""
    from nests.drawer.filing import measure as keep

    gauged = _readings(seats, ledge, posts, mass, gauge)
    kept, findings = keep(folder, holder, gauged, date=_date(date), note=note)
    for each in findings:
        click.echo(_line(f"{each.grade.mark} {each.sentence()}"))
    click.echo(_line(f"{_about(kept)}: {kept.now.state}."))


@drawer.command()
@DRAWER
@DATE
def undo(folder: Path, date: str | None) -> None:
    """Undo the last change of the drawer; again, the one before it."""
    from nests.drawer.filing import undo as take_back

    kept, last = take_back(folder, date=_date(date))
    click.echo(_line(f"{_about(kept)}: '{last.did}' is undone; it is {kept.now.state}."))


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
