"""Commands that gather what is measured: a face without rules of its own."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from nests.faces import gauge_commands
from nests.faces.drawer_commands import DATE, PATH, one_line, today_or
from nests.faces.once import OnceGroup
from nests.units import BadInput

if TYPE_CHECKING:
    from nests.kinds.measured import Measured


@click.group(cls=OnceGroup)
def measure() -> None:
    """Gather what is measured: a sheet by questions, or as a table, and a form for the bench; and
    of the printer, by its gauge plate."""


for _command in (gauge_commands.gauge, gauge_commands.readings, gauge_commands.fit):
    measure.add_command(_command)


@measure.command()
@click.argument("record", type=PATH)
@click.option("--out", type=PATH, default=None, help="write the sheet here, once it is whole")
@click.option("--replace", is_flag=True, help="replace a sheet that stands there")
@click.option("--more", is_flag=True, help="ask also what is usually taken by default")
@DATE
def sheet(record: Path, out: Path | None, replace: bool, more: bool, date: str | None) -> None:
    """Measure a sheet, one question after another; each answer is kept in RECORD at once.

    Stop at any time, with 'stop', the end of the input or Ctrl-C; the same command goes on. Lines
    may come from a file: nests measure sheet RECORD < answers.txt. 'help' lists what may be typed.
    """
    from nests.measuring.keeping import Kept
    from nests.measuring.talk import asked, heard, put, summed, turned

    if out is not None and out.exists() and not replace:
        raise BadInput(f"{out} exists already; choose another file or give --replace.")
    kept, day = Kept(record), today_or(date)
    question = asked(kept.record, more)
    while question is not None:
        line = _line(put(question))
        if line is None:
            break
        before = kept.record
        turn = turned(before, line, more=more, date=day)
        kept.keep(turn.record)  # first of all: what follows may take a second, or be broken off
        for says in (*turn.says, *heard(before, turn.record)):
            click.echo(one_line(f"  {says}"))
        if turn.stop:
            break
        more = turn.more
        question = asked(kept.record, more)
    for says in summed(kept.record):
        click.echo(one_line(says))
    if out is not None:
        _write_sheet(kept.record, out)


def _line(words: str) -> str | None:
    """One line typed, or from a file, where it is shown as if it were typed; None at the end, and
    for Ctrl-C."""
    click.echo(one_line(words))
    click.echo("> ", nl=False)
    try:
        line = sys.stdin.readline()
    except KeyboardInterrupt:
        line = ""
    if not line:
        click.echo()
        return None
    if not sys.stdin.isatty():
        click.echo(one_line(line.rstrip("\n")))
    return line


def _write_sheet(record: Measured, out: Path) -> None:
    from nests.documents.files import canonical, write_file
    from nests.kinds import document
    from nests.measuring.talk import whole

    made = whole(record)
    write_file(out, canonical(document(made.sheet)))
    click.echo(one_line(f"the sheet is in {out}."))


@measure.command()
@click.argument("file", type=PATH)
@click.option("--into", type=PATH, default=None, help="folder to fill from the table FILE")
@click.option("--from", "records", type=PATH, multiple=True,
              help="write the table FILE from this record; once for each")  # fmt: skip
@click.option("--decimal-comma", is_flag=True, help="write with commas, parted by semicolons")
@click.option("--replace", is_flag=True, help="replace a table that stands there")
@DATE
def table(
    file: Path, into: Path | None, records: tuple[Path, ...], decimal_comma: bool, replace: bool,
    date: str | None,
) -> None:  # fmt: skip
    """Sheets as rows of a table (CSV): read FILE into a folder (--into), or write it (--from).

    A row for the whole and one for each arbor, rest, fragile thing and pusher; many sheets in one
    table. Without --into and --from the headings alone are written. Every cell that cannot be used
    is named, and then nothing is written.
    """
    from nests.documents.files import write_file
    from nests.documents.folders import write_folder
    from nests.kinds import read
    from nests.kinds.measured import Measured
    from nests.measuring import table as tables
    from nests.measuring.filling import read_table

    if into is not None and records:
        raise BadInput("give either --into to read the table, or --from to write it.")
    if into is None:
        if file.exists() and not replace:
            raise BadInput(f"{file} exists already; choose another file or give --replace.")
        content = [read(each, Measured) for each in records]
        write_file(file, tables.written(content, decimal_comma=decimal_comma))
        click.echo(one_line(f"{len(records)} sheets are in {file}."))
        return
    try:
        filled = read_table(file, date=today_or(date))
    except tables.WrongTable as wrong:
        for fault in wrong.faults:
            click.echo(one_line(f"# {fault}"), err=True)
        raise BadInput(f"{file}: {len(wrong.faults)} faults; nothing is written.") from None
    write_folder(into, filled.files, replace=False)
    for says in filled.says:
        click.echo(one_line(says))


@measure.command()
@click.argument("out", type=PATH)
@click.option("--record", type=PATH, default=None, help="put the name of this record on it")
@click.option("--replace", is_flag=True, help="replace a form that stands there")
def form(out: Path, record: Path | None, replace: bool) -> None:
    """Write the form for the bench as PDF: an A4 page for each side of the movement."""
    from nests.documents.files import write_file
    from nests.kinds import read
    from nests.kinds.measured import Measured
    from nests.measuring.form import form as set_form

    if out.exists() and not replace:
        raise BadInput(f"{out} exists already; choose another file or give --replace.")
    write_file(out, set_form(None if record is None else read(record, Measured)))
    click.echo(one_line(f"the form is in {out}."))
