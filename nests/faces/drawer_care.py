"""Commands that look after a drawer: a face without rules of its own."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from nests.faces.drawer_commands import (
    BY,
    DATE,
    DRAWER,
    NOTE,
    PATH,
    agreed,
    believing,
    gauged_options,
    length_or_none,
    named,
    one_line,
    require_read,
    say_open,
    say_unusable,
    say_verdicts,
    tell,
    today_or,
)
from nests.faces.once import OnceGroup
from nests.units import BadInput


@click.group(cls=OnceGroup)
def drawer() -> None:
    """Look after the drawer: list, show, measure, undo, redo, check, labels, export, import."""


@drawer.command("list")
@DRAWER
def list_(folder: Path) -> None:
    """List every holder with its state, and what cannot be used."""
    from nests.drawer.search import listed

    holders, unusable = listed(folder)
    for holder, state in holders:
        click.echo(f"{holder}  {state}")
    say_unusable(unusable, folder)


@drawer.command()
@click.argument("holder")
@DRAWER
@gauged_options
@NOTE
@BY
@DATE
def measure(
    holder: str, folder: Path, readings: tuple[str, ...], mass: float | None, gauge: str,
    uncertainty: str | None, believed: tuple[str, ...], note: str, by: str, date: str | None,
) -> None:  # fmt: skip
    """Keep what was measured on HOLDER now: seat=26.15, edges=good; says what is worn or open, and
    what the readings show of each size."""
    from nests.drawer.filing import measure as keep
    from nests.drawer.shelf import path_of, read_holder
    from nests.drawer.typed import typed

    recipe = read_holder(path_of(folder, holder)).recipe
    doubt = length_or_none(uncertainty, "--uncertainty")
    gauged = typed(readings, recipe, mass=mass, gauge=gauge, uncertainty=doubt)
    require_read(believed, gauged)
    day = today_or(date)
    kept, _ = believing(
        lambda names: keep(
            folder, holder, gauged, date=day, note=note, by=by, believed=names, tell=tell
        ),
        believed,
    )
    say_verdicts(kept, folder)
    say_open(kept, folder)
    click.echo(one_line(f"{named(kept)}: {kept.now.state}."))


@drawer.command()
@click.argument("holder")
@DRAWER
def show(holder: str, folder: Path) -> None:
    """Show what is to be gauged and tried on HOLDER, what is known of it, and what is open."""
    from nests.drawer.gauged import gauged
    from nests.drawer.shelf import path_of, read_holder

    kept = read_holder(path_of(folder, holder))
    click.echo(one_line(f"{named(kept)}: {kept.now.state}."))
    rows, site = gauged(kept), kept.recipe.site()
    wide = max(len(each.row.name) for each in rows)
    for each in rows:
        about = f"{each.row.feature.says}, {each.row.where(site)}: {each.row.feature.limits()}"
        words = f"{each.grade.mark} {each.row.name:{wide}}  {each.known()}  ({about})"
        click.echo(one_line(f"  {words}"))
    count = sum(each.open for each in rows)
    click.echo(f"{len(rows) - count} of {len(rows)} are known, {count} are open.")


@drawer.command()
@DRAWER
@click.option("--printer", default=None, help="name of a printer card; all if none")
def drift(folder: Path, printer: str | None) -> None:
    """Say whether a printer moved: first readings of holders, each against all before it.

    Says of how many there are any, and where they are too few. Ends with 1 if one moved.
    """
    from nests.drawer.drift import drifts, looked_at

    for says in looked_at(folder, printer):
        click.echo(one_line(says))
    found = drifts(folder, printer)
    for each in found:
        click.echo(one_line(f"{each.grade.mark} {each.sentence()}"))
    if not found:
        click.echo("no drift shows in what was looked at.")
    sys.exit(1 if found else 0)


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
    click.echo(one_line(f"to be undone: {wanted.words()}."))
    if not yes:
        if not sys.stdin.isatty():
            raise BadInput("nothing was undone: nobody can be asked here; give --yes to undo it.")
        if not agreed("Undo it?"):
            click.echo("nothing was undone.")
            sys.exit(1)
    step = take_back(folder, date=today_or(date), by=by, only=wanted.change.number)
    click.echo(one_line(
        f"{named(step.kept)}: '{step.change.did}' is undone; it is {step.kept.now.state}. "
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

    step = do_again(folder, date=today_or(date), by=by)
    click.echo(one_line(f"redone: {step.words()}; {step.kept.id} is {step.kept.now.state}."))


@drawer.command()
@DRAWER
def check(folder: Path) -> None:
    """Read every document against its schema; ends with 2 if one cannot be used."""
    from nests.drawer.shelf import every_holder

    holders, unusable = every_holder(folder)
    for says in unusable:
        click.echo(one_line(f"# {says}"))
    click.echo(f"{len(holders)} holders can be used, {len(unusable)} documents cannot.")
    sys.exit(2 if unusable else 0)


@drawer.command()
@DRAWER
@click.option("--out", type=PATH, required=True, help="PDF to write")
@click.option("--columns", type=int, default=4, show_default=True, help="compartments across")
@click.option("--rows", type=int, default=6, show_default=True, help="compartments down")
@click.option("--title", default="Drawer", show_default=True, help="what the drawer is called")
def labels(folder: Path, out: Path, columns: int, rows: int, title: str) -> None:
    """Draw a map of the compartments and a label for every holder, A4, to print.

    A PDF that was drawn of this drawer before is written over, if nobody changed it; no other file.
    """
    from nests.drawer.drawn import require_own, write_own
    from nests.drawer.shelf import every_holder
    from nests.orders.drawer_page import drawer_page

    holders, unusable = every_holder(folder)
    say_unusable(unusable, folder)
    require_own(folder, out)
    write_own(folder, out, drawer_page(holders, columns=columns, rows=rows, title=title))
    click.echo(f"{len(holders)} holders drawn in {out}.")


@drawer.command()
@DRAWER
@click.option("--out", type=PATH, required=True, help="file to write")
def export(folder: Path, out: Path) -> None:
    """Write the whole drawer into one file; what cannot be used is left out, and said."""
    from nests.drawer.carry import export as carry_out

    click.echo(one_line(f"{carry_out(folder, out, tell=tell)} holders in {out}."))


@drawer.command("import")
@click.argument("file", type=PATH)
@DRAWER
def import_(file: Path, folder: Path) -> None:
    """Take what is in an exported FILE into a drawer, a new one or one that is there.

    A holder whose id another has here is kept under a new one, and that is said. FILE may also be
    the document of one holder, such as a second one that a folder kept on two machines has.
    """
    from nests.drawer.carry import import_drawer

    taken = import_drawer(file, folder, tell=tell)
    click.echo(one_line(f"{taken} holders taken into {folder}."))
