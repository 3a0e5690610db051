"""Commands about one holder of a drawer, and the search: a face without rules of its own."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from nests.faces.once import Once
from nests.faces.typed_options import NumberType
from nests.lengths import read_length
from nests.units import BadInput

if TYPE_CHECKING:
    from nests.drawer.look import Match
    from nests.drawer.search import Found
    from nests.kinds.kept import KeptHolder, Readings

MOST_NAMED = 20
"""Documents that cannot be used which are named beside an answer."""
F = TypeVar("F", bound=Callable[..., Any])
PATH = click.Path(path_type=Path)
DRAWER = click.option("--drawer", "folder", type=PATH, required=True, help="folder of the drawer")
DATE = click.option("--date", default=None, help="year-month-day; today if none is given")
NOTE = click.option("--note", default="", help="anything to remember")
BY = click.option("--by", default="", envvar="NESTS_BY", show_envvar=True, help="who does it")


def gauged_options(command: F) -> F:
    """What was measured on a print: pairs, and what is said beside them."""
    for option in (
        click.option("--gauge", default="", help="what it was gauged with"),
        click.option(
            "--uncertainty",
            default=None,
            metavar="MM",
            help="measuring uncertainty of a reading, ± (k = 2); that of the --gauge if none",
        ),
        click.option(
            "--as-read",
            "believed",
            multiple=True,
            metavar="NAME",
            help="keep a reading of this name that can hardly be true",
        ),
        click.option("--mass", type=NumberType("g", "0.05 to 2000 g"), default=None, help="mass"),
        click.argument("readings", nargs=-1, metavar="[NAME=VALUE]..."),
    ):
        command = option(command)
    return command


Kept = TypeVar("Kept")


def believing(keep: Callable[[tuple[str, ...]], Kept], believed: tuple[str, ...]) -> Kept:
    """Keep readings; those that can hardly be true are asked about where somebody can be asked,
    and else refused. `keep` is given the names that are believed."""
    from nests.drawer.typed import Doubtful

    try:
        return keep(believed)
    except Doubtful as doubtful:
        if not sys.stdin.isatty():
            raise
        for says in doubtful.asked:
            click.echo(one_line(f"? {says}"))
        if not agreed(f"Keep {'it' if len(doubtful.asked) == 1 else 'them'} as read?"):
            raise BadInput("nothing was kept; gauge it again.") from None
        return keep((*believed, *doubtful.names))


def require_read(believed: Sequence[str], gauged: Readings) -> None:
    """Raise `BadInput` where a reading is to be kept as read of what was not read."""
    for name in believed:
        if name not in gauged.gauged:
            read = ", ".join(gauged.gauged) or "nothing"
            raise BadInput(f"--as-read is '{name}'; nothing was read of that; read was {read}.")


def agreed(question: str) -> bool:
    """Whether somebody at the terminal says yes; the end of the input is a no."""
    try:
        return bool(click.confirm(question))
    except click.Abort as stopped:
        if not isinstance(stopped.__context__, EOFError):
            raise
        click.echo()
        return False


def length_or_none(given: str | None, name: str) -> float | None:
    """A length of an option, if it was given."""
    return None if given is None else read_length(given, name).mm


def say_verdicts(kept: KeptHolder, folder: Path) -> None:
    """What the readings show of each size, what to dial in, and whether the printer moved."""
    from nests.drawer.drift import drifts
    from nests.drawer.verdict import settings, verdicts

    for each in verdicts(kept):
        # without a value nothing was judged, which is no fact that a job waits for
        judged = each.value is not None
        said = f"{each.grade.mark} {each.sentence()}" if judged else f"{each.says} {each.remedy}."
        click.echo(one_line(said))
    for says in settings(kept):
        click.echo(one_line(f"to dial in: {says}"))
    for each in drifts(folder, kept.recipe.printer.name):
        click.echo(one_line(f"{each.grade.mark} {each.sentence()}"))


def say_open(kept: KeptHolder, folder: Path) -> None:
    """What is worn, outside its limits or open, and the line to type for what is open."""
    from nests.drawer.filing import told
    from nests.drawer.gauged import asks_for

    for each in told(kept):
        click.echo(one_line(f"{each.grade.mark} {each.sentence()}"))
    if line := asks_for(kept, folder):
        click.echo(one_line(line))


def today_or(given: str | None) -> str:
    """The date given, or that of today."""
    return datetime.date.today().isoformat() if given is None else given


def tell(says: str) -> None:
    """Say beside the answer what else was done."""
    click.echo(one_line(f"note: {says}"), err=True)


def say_unusable(unusable: Sequence[str], folder: Path) -> None:
    """Name, beside the answer, what in a drawer cannot be used; of a flood the first."""
    for says in unusable[:MOST_NAMED]:
        click.echo(one_line(f"# {says}"), err=True)
    if len(unusable) > MOST_NAMED:
        more = f"{len(unusable) - MOST_NAMED} more documents cannot be used"
        click.echo(one_line(f"# {more}; nests drawer check --drawer {folder} names all."), err=True)


def one_line(text: str) -> str:
    """The text without anything that would break the line or steer a terminal."""
    return "".join(c if c.isprintable() else " " for c in text)


def named(kept: KeptHolder) -> str:
    """What a holder is, in half a line."""
    recipe = kept.recipe
    return (
        f"{kept.id}: {recipe.kind} for {recipe.workpiece.name}, {recipe.side_up.value} up, "
        f"{recipe.operation.name}"
    )


@click.command("file", cls=Once)
@click.argument("pack", type=PATH)
@DRAWER
@gauged_options
@NOTE
@BY
@DATE
def file_(
    pack: Path, folder: Path, readings: tuple[str, ...], mass: float | None, gauge: str,
    uncertainty: str | None, believed: tuple[str, ...], note: str, by: str, date: str | None,
) -> None:  # fmt: skip
    """Put a printed holder into the drawer: PACK is its folder. Says the id it is given.

    What was gauged is given by the names of the acceptance list, such as seat=26.07 seat=26.09
    ledge=6.90 edges=good; by-eye=good says so of all that is tried. What is open is said; of each
    size what its readings show, as well as it was gauged; what to dial in; whether the printer
    moved. A reading that can hardly be true is asked about.
    """
    from nests.drawer.filing import file_holder, recipe_of
    from nests.drawer.typed import typed

    recipe = recipe_of(pack)
    doubt = length_or_none(uncertainty, "--uncertainty")
    gauged = typed(readings, recipe, mass=mass, gauge=gauge, uncertainty=doubt)
    require_read(believed, gauged)
    day = today_or(date)
    kept = believing(
        lambda names: file_holder(
            folder, recipe, gauged, date=day, note=note, by=by, believed=names, tell=tell
        ),
        believed,
    )
    click.echo(one_line(f"{named(kept)}; filed in {folder}."))
    say_verdicts(kept, folder)
    say_open(kept, folder)


@click.command(cls=Once)
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
            click.echo(one_line(f"  {_match(each)}"))
        usable = bool(found.matches)
    say_unusable(found.unusable, folder)
    click.echo(f"{found.count} seats come into question, {len(found.judged)} were judged.")
    if found.left:
        click.echo(f"{found.left} more may fit by their sizes; --most N judges more.")
    if any(not each.at_bench for each in found.judged):
        click.echo("Where the sizes alone stop a holder, the solid was not looked at.")
    sys.exit(0 if usable else 1)


def _for_sheet(
    folder: Path, sheet: Path, operation: str | None, work: Path | None, within: float | None,
    most: int,
) -> Found:  # fmt: skip
    from nests.drawer.search import find as search
    from nests.given.sheet import Sheet
    from nests.kinds import read
    from nests.orders.order import plan_in

    plan = plan_in(work)
    chosen = plan.operation(operation) if operation else None
    return search(folder, read(sheet, Sheet), chosen, tolerance=within, most=most)


def _show_judged(found: Found) -> None:
    for each in found.judged:
        foot = ", seat in the foot" if each.seat.in_foot else ""
        gauged = "gauged" if each.seat.gauged else "as drawn"
        words = f"{named(each.kept)}{foot}, seat {each.seat.bore:.2f} mm {gauged}"
        click.echo(one_line(f"{each.grade.mark} {words}: {each.grade.value}."))
        for finding in each.findings:
            if finding.grade.value != "clear":
                click.echo(one_line(f"    {finding.grade.mark} {finding.sentence()}"))


def _match(each: Match) -> str:
    foot = ", in the foot" if each.in_foot else ""
    return (
        f"{each.id}: seat {each.bore:.2f} mm{foot}, made for {each.takes:.2f} mm, "
        f"{each.up.value} up, {each.state}"
    )


@click.command(cls=Once)
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

    kept = take_out(folder, holder, reason, date=today_or(date), note=note, by=by, tell=tell)
    click.echo(one_line(f"{named(kept)}: retired; {brings_back(kept, folder)}"))


@click.command(cls=Once)
@click.argument("holder")
@DRAWER
@NOTE
@BY
@DATE
def reinstate(holder: str, folder: Path, note: str, by: str, date: str | None) -> None:
    """Bring HOLDER back that was retired, by its id, as it stood before; no other is touched."""
    from nests.drawer.filing import reinstate as bring_back

    kept = bring_back(folder, holder, date=today_or(date), note=note, by=by, tell=tell)
    click.echo(one_line(f"{named(kept)}: {kept.now.state} again."))
