"""The command that lays several holders on build plates: a face without rules of its own."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from nests.faces.drawer_commands import PATH, one_line
from nests.faces.once import Once
from nests.lengths import read_length


@click.command(cls=Once)
@click.argument("packs", nargs=-1, type=PATH, metavar="[PACK]...")
@click.option("--job", "jobs", type=PATH, multiple=True,
              help="folder of a plan: lay what it waits for; once for each job")  # fmt: skip
@click.option("--card", type=PATH, default=None, help="printer card; that of the recipes if none")
@click.option("--gap", default=None, metavar="MM", help="least distance of two bodies [2 mm]")
@click.option("--out", type=PATH, required=True, help="folder to write")
@click.option("--replace", is_flag=True, help="replace plates that stand there")
def lay(
    packs: tuple[Path, ...], jobs: tuple[Path, ...], card: Path | None, gap: str | None, out: Path,
    replace: bool,
) -> None:  # fmt: skip
    """Lay PACKs (folders or recipes; one twice is printed twice) and what jobs wait for on build
    plates.

    Every body is placed, named and posed; each plate is judged as a whole. It says how much resin,
    time and money they take, and what to print first. Ends with 1 if a plate has a stop.
    """
    from nests.documents.folders import require_room, write_folder
    from nests.drawer.filing import recipe_of
    from nests.finding import Grade
    from nests.laying.job import waiting
    from nests.laying.lain import GAP
    from nests.laying.pack import lay_out, told
    from nests.orders.order import card_in
    from nests.units import BadInput

    require_room(out, replace=replace)
    apart = GAP if gap is None else read_length(gap, "--gap").mm
    if not 0.0 <= apart <= 50.0:
        raise BadInput(f"--gap is {apart:g} mm; allowed is 0 to 50 mm.")
    recipes, waits = [recipe_of(each) for each in packs], [waiting(each) for each in jobs]
    if sys.stderr.isatty():
        click.echo(f"{len(packs)} packs, {len(jobs)} jobs: composing, laying ...", err=True)
    made = lay_out(
        recipes,
        waits,
        None if card is None else card_in(card),
        apart,
    )
    write_folder(out, sorted(made.files.items()), replace=replace)
    for says in told(made.plates, made.card, made.jobs):
        click.echo(one_line(says))
    for each in made.findings:
        if each.grade is not Grade.CLEAR:
            click.echo(one_line(f"{each.grade.mark} {each.sentence()}"))
    click.echo(one_line(f"{len(made.plates)} plates in {out}."))
    sys.exit(1 if made.grade is Grade.STOP else 0)
