"""Commands about the printer: its gauge plate, and the card that comes of the readings."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from nests.faces.drawer_commands import PATH, one_line, say_unusable
from nests.faces.once import Once
from nests.units import BadInput

if TYPE_CHECKING:
    from nests.gauge.fitting import CardFit
    from nests.given.printer_card import PrinterCard

CARD = click.option("--card", type=PATH, default=None, help="printer card; common practice if none")


@click.command(cls=Once)
@CARD
@click.option("--out", type=PATH, required=True, help="folder of the pack")
@click.option("--replace", is_flag=True, help="replace a pack that stands there")
def gauge(card: Path | None, out: Path, replace: bool) -> None:
    """Draw the gauge plate for a printer card: to print, to read by its form, to fit a card from.

    It says what is meant to fail, and what the checks say of it. Ends with 1 if anything else has
    a stop.
    """
    from nests.documents.folders import require_room
    from nests.finding import Grade
    from nests.gauge.pack import gauge_pack
    from nests.orders.order import card_in

    require_room(out, replace=replace)
    drawn_for = card_in(card)
    _say_begun(f"gauge plate for {drawn_for.name}: drawing, judging ...")
    made = gauge_pack(drawn_for)
    made.write(out, replace=replace)
    for each in made.findings:
        if each.grade is not Grade.CLEAR:
            click.echo(one_line(f"{each.grade.mark} {each.sentence()}"))
    click.echo(f"{len(made.failing)} things are meant to fail:")
    for meant in made.failing:
        click.echo(one_line(f"  {meant.says()}"))
    rows = len(made.plate.rows)
    click.echo(one_line(f"gauge plate for {made.plate.card.name}: {rows} rows to read, {out}."))
    sys.exit(1 if made.grade is Grade.STOP else 0)


@click.command(cls=Once)
@click.argument("source", type=PATH)
@click.argument("target", type=PATH)
@click.option("--decimal-comma", is_flag=True, help="write with commas, parted by semicolons")
@click.option("--replace", is_flag=True, help="replace a file that stands there")
def readings(source: Path, target: Path, decimal_comma: bool, replace: bool) -> None:
    """Turn readings of a gauge plate from a table (CSV) into a document (JSON), or back."""
    from nests.documents.files import canonical, write_file
    from nests.gauge import table
    from nests.kinds import document

    _require_apart("TARGET", target, "SOURCE", source)
    _require_free(target, replace)
    read = table.read(source)
    if target.suffix.lower() == ".csv":
        write_file(target, table.written(read, decimal_comma=decimal_comma))
    else:
        write_file(target, canonical(document(read)))
    count = len([row for row in read.rows if not row.open])
    click.echo(one_line(f"{count} of {len(read.rows)} rows are read; written to {target}."))


@click.command(cls=Once)
@click.argument("source", type=PATH, metavar="READINGS")
@CARD
@click.option("--out", type=PATH, required=True, help="the new card")
@click.option("--picture", type=PATH, default=None, help="picture of the residuals (SVG)")
@click.option("--recipe", "recipes", type=PATH, multiple=True,
              help="recipe of which is said what changes; once for each")  # fmt: skip
@click.option("--drawer", type=PATH, default=None, help="drawer of which is said what changes")
@click.option("--replace", is_flag=True, help="replace a card or picture that stands there")
def fit(
    source: Path, card: Path | None, out: Path, picture: Path | None, recipes: tuple[Path, ...],
    drawer: Path | None, replace: bool,
) -> None:  # fmt: skip
    """Take a printer card from the READINGS of its gauge plate, a document or a table (CSV).

    What was not read stays as on the card that is given. Readings that do not fit are named, and
    counted with the rest: read them again, or take them out yourself. Of each recipe is said how
    its seats and heights stood and stand, and what the checks say otherwise.
    """
    from nests.documents.files import canonical, write_file
    from nests.drawer.filing import recipe_of
    from nests.drawer.shelf import require_drawer
    from nests.gauge import fitting, residuals, table
    from nests.kinds import document
    from nests.orders.order import card_in

    beside: list[tuple[str, Path | None]] = [("READINGS", source), ("--picture", picture)]
    for what, each in beside:
        _require_apart("--out", out, what, each)
    _require_apart("--picture", picture, "READINGS", source)
    for each in (out, *([] if picture is None else [picture])):
        _require_free(each, replace)
    drawn = [recipe_of(each) for each in recipes]  # before anything is written
    if drawer is not None:
        require_drawer(drawer)
    found = fitting.fit(table.read(source), card_in(card))
    write_file(out, canonical(document(found.card)))
    if picture is not None:
        write_file(picture, residuals.picture(found))
    for says in _figures(found):
        click.echo(one_line(says))
    for says in found.notes:
        click.echo(one_line(f"? {says}"))
    for says in found.odd:
        click.echo(one_line(f"~ {says}"))
    click.echo(one_line(f"the card is in {out}."))
    for recipe in drawn:
        _say_recipe(recipe, found.card)
    if drawer is not None:
        _say_drawer(drawer, found.card)


def _require_apart(name: str, path: Path | None, other: str, than: Path | None) -> None:
    """What is written takes the place of nothing else that the command was given."""
    if path is not None and than is not None and path.resolve() == than.resolve():
        raise BadInput(f"{name} is {path}, which is {other} too; another file is needed.")


def _require_free(path: Path, replace: bool) -> None:
    if path.exists() and not replace:
        raise BadInput(f"{path} exists already; choose another file or give --replace.")


def _figures(found: CardFit) -> list[str]:
    from nests.gauge.remarks import figures

    return figures(found.card)


def _say_begun(what: str) -> None:
    if sys.stderr.isatty():
        click.echo(one_line(what), err=True)


def _say_recipe(recipe: Any, card: PrinterCard) -> None:
    from nests.gauge.changes import on_recipe

    _say_begun(f"{recipe.name} ...")
    made = on_recipe(recipe, card)
    click.echo(one_line(f"{made.name}:"))
    if not made.was_measured:
        click.echo("  of bias the old card knows nothing, and counts it as none.")
    for each in made.sizes:
        click.echo(one_line(f"  {each.says()}"))
    for title, says in (("drawn as it is", made.now), ("drawn anew", made.anew)):
        click.echo(f"  {title}:{'' if says else ' every check says what it said before.'}")
        for line in says:
            click.echo(one_line(f"    {line}"))


def _say_drawer(folder: Path, card: PrinterCard) -> None:
    from nests.gauge.changes import in_drawer

    found = in_drawer(folder, card, _say_begun)
    for each in found.otherwise:
        click.echo(one_line(f"{each.id} would now be judged otherwise:"))
        for says in each.says:
            click.echo(one_line(f"    {says}"))
    click.echo(
        one_line(
            f"of {found.looked_at} holders printed by '{card.name}' {len(found.otherwise)} would "
            f"be judged otherwise; {found.of_others} in the drawer are of other cards."
        )
    )
    if found.otherwise:
        click.echo("What is gauged on a print counts before any card: nests drawer measure.")
    say_unusable(found.unusable, folder)
