"""`nests bench`: opens the page on this machine."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from nests.faces.once import Once
from nests.units import BadInput

EXTRA = (
    "the bench page needs more than the core: install the extra 'bench', "
    "as in .venv/bin/pip install '.[bench]'."
)


@click.command(cls=Once)
@click.argument("folder", type=click.Path(path_type=Path), required=False)
@click.option("--drawer", type=click.Path(path_type=Path), default=None,
              help="folder of the drawer; 'drawer' in FOLDER if none is given")  # fmt: skip
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="port; a free one for 0",
              show_default=True)  # fmt: skip
@click.option("--browser/--no-browser", default=True, help="open the address in the browser",
              show_default=True)  # fmt: skip
def bench(folder: Path | None, drawer: Path | None, port: int, browser: bool) -> None:
    """Open the bench page: the whole job in a browser, on this machine only.

    The work lies in FOLDER, nests-bench in the home folder if none is given, and is saved at every
    step. The address has a token, without which nothing is answered. Ctrl-C ends it.
    """
    try:
        from nests.faces.page.opening import Open
    except ImportError as lacking:
        if (lacking.name or "").partition(".")[0] in ("starlette", "uvicorn"):
            raise BadInput(EXTRA) from None
        raise
    from nests.faces.page.bench import Bench
    from nests.faces.page.journal import held, usual_folder

    target = folder or usual_folder()
    with held(target) as journal:
        at_work = Bench(journal, drawer or target / "drawer")
        try:
            opened = Open(at_work, port)
        except BadInput:
            at_work.close()
            raise
        click.echo(f"the work lies in {target}.")
        click.echo(f"open {opened.address}")
        sys.stdout.flush()
        if browser:
            import webbrowser

            webbrowser.open(opened.address)
        opened.run()
