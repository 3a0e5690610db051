"""The command line: a face without rules of its own."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

import nests
from nests.faces import drawer_care, drawer_commands, lay_command, measure_commands
from nests.faces.once import Once, OnceGroup
from nests.faces.output import as_json, guarded, now_and_then, one_line, require_text
from nests.faces.page import command as bench_command
from nests.faces.typed_options import Typed, option
from nests.units import BadInput
from nests.version import __version__

if TYPE_CHECKING:
    from nests.finding import Finding, Grade
    from nests.orders.pack import Pack

MARKS = {"clear": "=", "unknown": "?", "mend": "~", "stop": "#"}
"""A shape for each grade, so that no grade is told by colour alone."""
PAPERS = "with the drawing, the pictures and the report, or only the files to print and the data"


@click.group(cls=OnceGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__)
def cli() -> None:
    """Holders for watch movements: described, composed, proved, printed, found again.

    Lengths are in mm; a length may also be written 450um, 11.5ligne or '11 1/2 ligne'.
    """


class _Families(OnceGroup):
    """The families as commands, each made from the fields of its options when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        from nests.families import names

        return list(names())

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        return _family_command(name) if name in self.list_commands(ctx) else None


@cli.group(cls=_Families, invoke_without_command=True)
@click.option("--recipe", type=click.Path(path_type=Path), help="make this recipe, as it stands")
@click.option(
    "--pusher",
    multiple=True,
    metavar="HOUR,DEPTH",
    help="with --recipe: add a pusher and its slot; hour, and mm of its lever's middle below the "
    "dial-side rim face",
)
@click.option("--out", type=click.Path(path_type=Path), help="folder of the pack")
@click.option("--replace", is_flag=True, help="replace a pack that stands there")
@click.option("--papers/--no-papers", default=True, help=PAPERS, show_default=True)
@click.pass_context
def make(
    ctx: click.Context,
    recipe: Path | None,
    pusher: tuple[str, ...],
    out: Path | None,
    replace: bool,
    papers: bool,
) -> None:
    """Make a holder: by a family, or from a recipe (--recipe FILE --out DIR)."""
    if ctx.invoked_subcommand is not None:
        if recipe is not None or out is not None or pusher:
            raise BadInput("options of a family stand after its name: nests make FAMILY --out DIR.")
        return
    if recipe is None or out is None:
        raise BadInput("give a family, or both --recipe FILE and --out DIR; see nests make --help.")
    from nests.orders.extending import with_pushers

    _require_room(out, replace)
    _say_begun(recipe.name)
    _write(nests.build(with_pushers(recipe, pusher), papers=papers), out, replace)


def _family_command(name: str) -> click.Command:
    from dataclasses import fields

    from nests.documents.schema import hints
    from nests.families import family

    rule = family(name)
    types_of = hints(rule.Wish)  # type: ignore[arg-type]
    options: list[click.Parameter] = [
        option(each, types_of[each.name]) for each in fields(rule.Wish)
    ]
    path = click.Path(path_type=Path)
    options += [
        click.Option(["--sheet"], type=path, help="sheet of the workpiece"),
        click.Option(["--operation"], help="name of an operation of the work plan"),
        click.Option(["--work"], type=path, help="work plan; the usual operations if none"),
        click.Option(["--printer"], type=path, help="printer card; common practice if none"),
        click.Option(["--date"], help="date for the title block, year-month-day", default=""),
        click.Option(["--out"], type=path, required=True, help="folder of the pack"),
        click.Option(["--replace"], is_flag=True, help="replace a pack that stands there"),
        click.Option(["--papers/--no-papers"], default=True, help=PAPERS),
    ]

    def run(
        sheet: Path | None,
        operation: str | None,
        work: Path | None,
        printer: Path | None,
        date: str,
        out: Path,
        replace: bool,
        papers: bool,
        **wish: Any,
    ) -> None:
        _require_room(out, replace)
        _say_begun(name)
        in_lignes = tuple(k for k, v in wish.items() if isinstance(v, Typed) and v.from_ligne)
        plain = {k: v.mm if isinstance(v, Typed) else v for k, v in wish.items()}
        made = nests.make(
            sheet,
            name,
            operation=operation,
            work=work,
            printer=printer,
            papers=papers,
            date=date,
            in_lignes=in_lignes,
            progress=now_and_then(),
            **plain,
        )
        _write(made, out, replace)

    module = sys.modules[rule.__name__]  # type: ignore[attr-defined]
    about = (module.__doc__ or "").strip()
    return Once(
        name,
        params=options,
        callback=run,
        help=about,
        context_settings={"help_option_names": ["-h", "--help"]},
    )


def _require_room(out: Path, replace: bool) -> None:
    from nests.documents.folders import require_room

    require_room(out, replace=replace)


def _say_begun(what: str) -> None:
    if sys.stderr.isatty():
        click.echo(f"{one_line(what)}: choosing, composing, judging, drawing ...", err=True)


def _write(built: Pack, out: Path, replace: bool) -> None:
    from nests.finding import Grade, gathered

    built.write(out, replace=replace)
    _print_findings(gathered(built.findings), clear=False)
    withheld = ""
    if built.grade is Grade.STOP:
        withheld = "; the files to print from are withheld until no stop is left"
    click.echo(one_line(f"{built.recipe.name}: {len(built.files)} files in {out}{withheld}."))
    sys.exit(1 if built.grade is Grade.STOP else 0)


def _print_findings(findings: Sequence[Finding], clear: bool = True) -> None:
    for each in findings:
        if clear or each.grade.value != "clear":
            click.echo(one_line(f"{MARKS[each.grade.value]} {each.sentence()}"))


@cli.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "in_json", is_flag=True, help="findings as JSON")
@click.option("--apply", is_flag=True, help="write the recipe FILE-mended.json with what cures it")
@click.option(
    "--unit", help="unit a mesh is drawn in, where its file tells none: mm, um, cm, inch, m"
)
def check(file: Path, in_json: bool, apply: bool, unit: str | None) -> None:
    """Check a recipe, sheet, work plan, printer card, or a mesh (STL, 3MF, OBJ, PLY, OFF, GLB).

    Ends with 0 when there is no stop, 1 with a stop, 2 when the file cannot be used. With
    --apply the findings are those of the changed recipe. Many findings of one kind are told as
    one, with the worst and the first places; --json keeps them all.
    """
    from nests.finding import Grade, gathered, worst
    from nests.orders.examine import mend
    from nests.orders.pack import findings_document

    if apply:
        target, changes = mend(file)
        for change in changes:
            click.echo(f"changed: {one_line(change)}", err=in_json)
        words = f"written to {target}" if changes else "no remedy applies; nothing is written"
        click.echo(one_line(f"{words}."), err=in_json)
        file = target
    findings = nests.check(file, unit=unit, progress=_say)
    grade: Grade = worst(findings)
    if in_json:
        click.echo(as_json(findings_document(file.name, findings)))
    else:
        _print_findings(gathered(findings))
        click.echo(one_line(f"{file.name}: {grade.value}."))
    sys.exit(1 if grade is Grade.STOP else 0)


@cli.command()
@click.option("--out", type=click.Path(path_type=Path), required=True, help="folder to fill")
@click.option("--papers/--no-papers", default=True, help=PAPERS)
def gallery(out: Path, papers: bool) -> None:
    """Build every pack of the invented workshop, two at a time."""
    from contextlib import closing

    from rich.console import Console
    from rich.progress import track

    from nests.finding import Grade
    from nests.orders.gallery import PIECES, make_all

    stops = []
    done = 0
    with closing(make_all(out, papers=papers)) as made:
        for name, grade in track(
            made,
            total=len(PIECES),
            description="building the gallery",
            console=Console(stderr=True),
            disable=not sys.stderr.isatty(),
        ):
            done += 1
            click.echo(f"{MARKS[grade.value]} {grade.value:7} {name}")
            stops += [name] if grade is Grade.STOP else []
    places = f"{done} packs in {out / 'packs'}, pictures in {out / 'pictures'}"
    click.echo(one_line(f"{places}; {len(stops)} with a stop."))
    sys.exit(1 if stops else 0)


@cli.command()
@click.option("--sheet", type=click.Path(path_type=Path), required=True, help="the workpiece")
@click.option("--work", required=True, help="work plan: a file, or the name of one that is there")
@click.option("--drawer", type=click.Path(path_type=Path), help="holders that are there already")
@click.option("--printer", type=click.Path(path_type=Path), help="printer card")
@click.option("--out", type=click.Path(path_type=Path), required=True, help="folder to fill")
@click.option("--replace", is_flag=True, help="replace a plan that stands there")
@click.option("--papers/--no-papers", default=False, help=PAPERS, show_default=True)
def plan(
    sheet: Path,
    work: str,
    drawer: Path | None,
    printer: Path | None,
    out: Path,
    replace: bool,
    papers: bool,
) -> None:
    """Plan a job: the smallest family of holders for a work plan, and whether the job may start.

    Writes the plan, its table as text, page and picture, and the packs of what is to print. Ends
    with 0 when the job may start, 1 when it must not, 2 when a file cannot be used.
    """
    from nests.planning import whole
    from nests.planning.coverage import as_text

    _require_room(out, replace)
    job = whole.job_from(sheet, work, drawer=drawer, printer=printer, progress=_say)
    answer = whole.write(job, out, papers=papers, replace=replace, progress=_say)
    click.echo("\n".join(one_line(line) for line in as_text(answer).splitlines()))
    sys.exit(0 if answer.may_start else 1)


def _say(text: str) -> None:
    """Progress, beside the answer."""
    click.echo(one_line(text), err=True)


for _command in (
    drawer_commands.file_,
    drawer_commands.find,
    drawer_commands.retire,
    drawer_commands.reinstate,
    drawer_care.drawer,
    measure_commands.measure,
    lay_command.lay,
    bench_command.bench,
):
    cli.add_command(_command)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line: never a traceback, a sentence for each fault of what cannot be used.

    Ends with 0, 1 or 2, and as is usual for a signal.
    """
    # numpy is not loaded yet; matrices are small here, and threads of its library only wait
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # few cycles die here, and to look for them as often as is usual takes a twentieth of a pack
    gc.set_threshold(50_000)
    if "COMP_WORDS" not in os.environ:  # what click takes for granted where it is to complete
        os.environ.pop("_NESTS_COMPLETE", None)
    with guarded():
        _run(sys.argv[1:] if arguments is None else arguments)


def _run(arguments: Sequence[str]) -> None:
    from nests.finding import Refused

    try:
        require_text(arguments)
        cli.main(args=arguments, prog_name="nests", standalone_mode=False)
    except (click.exceptions.Abort, KeyboardInterrupt):
        sys.exit(130)
    except click.ClickException as error:
        _give_up(*BadInput(error.format_message()).faults)  # no longer than others
    except Refused as refused:
        click.echo(one_line(f"{MARKS['stop']} {refused.finding.sentence()}"), err=True)
        sys.exit(1)
    except BadInput as bad:
        _give_up(*bad.faults)
    except OSError as error:
        about = f"{error.filename}: " if error.filename else ""
        _give_up(f"{about}{error.strerror or error}.")
    except ImportError as error:  # also where there is no memory left for one
        if str(error.name).partition(".")[0] == "nests":
            raise  # a fault of ours, and of no library
        _give_up(f"a library that is needed cannot be loaded: {error}.")
    except MemoryError:
        _give_up("there is not enough memory for this input.")


def _give_up(*faults: str) -> None:
    for fault in faults:
        click.echo(one_line(f"nests: {fault}"), err=True)
    sys.exit(2)


if __name__ == "__main__":
    main()
