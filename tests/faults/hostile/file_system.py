"""Faults of the file system: what stands at a path, what may not be read or written."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.faults.hostile.kept import FIRST, OWN, two
from tests.faults.hostile.row import Ran, Row, Run
from tests.faults.hostile.running import apart, inside
from tests.faults.hostile.sources import SHEET, recipe
from tests.faults.hostile.spoil import text
from tests.faults.hostile.typed import ROUND

Line = tuple[str, ...]
HERE = "{}"


def _pipe(folder: Path) -> str:
    os.mkfifo(folder / "thing")
    return "thing"


def _link(target: str) -> Callable[[Path], str]:
    def plant(folder: Path) -> str:
        (folder / "thing").symlink_to(target)
        return "thing"

    return plant


def _folder(folder: Path) -> str:
    (folder / "thing").mkdir()
    return "thing"


def _below(folder: Path) -> str:
    (folder / "thing").write_text("notes")
    return "thing/below"


THINGS: dict[str, Callable[[Path], str]] = {
    "nothing": lambda _: "none",
    "a folder": _folder,
    "a pipe nobody writes into": _pipe,
    "a circle of links": _link("thing"),
    "a link to nowhere": _link("none"),
    "a device without an end": lambda _: "/dev/zero",
    "chance without an end": lambda _: "/dev/urandom",
    "an empty device": lambda _: "/dev/null",
    "the memory of a process": lambda _: "/proc/self/mem",
    "a name too long": lambda _: "n" * 300,
    "a place below a file": _below,
}
"""What may stand where a file should."""
READ: dict[str, Line] = {
    "check": ("check", HERE),
    "check --apply": ("check", "--apply", HERE),
    "make --recipe": ("make", "--recipe", HERE, "--out", "out"),
    "--sheet": ("make", "round", "--sheet", HERE, "--out", "out"),
    "--printer": (*ROUND, "--printer", HERE),
    "--work": ("make", "hand-setting", "--sheet", SHEET, "--work", HERE, "--out", "out"),
    "plan --work": ("plan", "--sheet", SHEET, "--work", HERE, "--out", "out"),
    "file": ("file", HERE, "--drawer", "d"),
    "import": ("drawer", "import", HERE, "--drawer", "d"),
}
PIPES = ("check", "plan --work", "import")
"""Where a pipe is tried, which costs some seconds of waiting each time."""

OUT: dict[str, tuple[Callable[[Path], str], str]] = {
    "a file": (lambda f: (f / "out").write_text("notes") and "out", "out"),
    "a pipe": (lambda f: os.mkfifo(f / "out") or "out", "out"),
    "a circle of links": (lambda f: (f / "out").symlink_to("out") or "out", "out"),
    "a device": (lambda _: "/dev/full", "/dev/full"),
    "a place below a file": (lambda f: (f / "a").write_text("notes") and "a/out", "a"),
    "a place below a device": (lambda _: "/dev/null/out", "/dev/null"),
    "a place that the system keeps": (lambda _: "/proc/out", "/proc"),
    "a folder with notes": (
        lambda f: (f / "out").mkdir() or ((f / "out" / "notes").write_text("x") and "out"), "out"),
    "a folder with a hidden file": (
        lambda f: (f / "out").mkdir() or ((f / "out" / ".n").write_text("x") and "out"), "out"),
    "the folder above": (lambda _: "..", ".."),
}  # fmt: skip
SMALL_PLAN: Line = ("plan", "--sheet", SHEET, "--work", "usual")


@cache
def pack() -> dict[str, bytes]:
    """The files of a pack that was made before."""
    with TemporaryDirectory() as bench:
        inside(Path(bench), ROUND)
        return {each.name: each.read_bytes() for each in (Path(bench) / "out").iterdir()}


def stands(folder: Path) -> Path:
    """A pack that stands in the folder."""
    out = folder / "out"
    out.mkdir()
    for name, content in pack().items():
        (out / name).write_bytes(content)
    (folder / "notes.txt").write_text("mine")
    return out


def _listed_upwards(out: Path) -> None:
    content = (out / "contents.json").read_text()
    (out / "contents.json").write_text(content.replace("holder.3mf", "../notes.txt"))


REPLACED: dict[str, tuple[Callable[[Path], object], str]] = {
    "a note beside": (lambda o: (o / "notes.txt").write_text("mine"), "'notes.txt'"),
    "a photograph in a folder": (
        lambda o: (o / "p").mkdir() or (o / "p" / "a.jpg").write_bytes(b"\xff"), "'p/a.jpg'"),
    "a changed file": (lambda o: (o / "recipe.json").write_text("{}"), "'recipe.json'"),
    "a file made a link": (
        lambda o: (o / "recipe.json").unlink() or (o / "recipe.json").symlink_to("../notes.txt"),
        "'recipe.json'"),
    "a link to a folder outside": (lambda o: (o / "l").symlink_to(".."), "'l'"),
    "a pipe in it": (lambda o: os.mkfifo(o / "p"), "'p'"),
    "no list": (lambda o: (o / "contents.json").unlink(), "contents.json"),
    "a broken list": (lambda o: (o / "contents.json").write_text("{"), "contents.json"),
    "a list of numbers": (
        lambda o: (o / "contents.json").write_text('{"sha256": {"a": 1}}'), "contents.json"),
    "a list without an end": (
        lambda o: (o / "contents.json").unlink() or (o / "contents.json").symlink_to("/dev/zero"),
        "contents.json"),
    "a list that names a file outside": (_listed_upwards, "'holder.3mf'"),
}  # fmt: skip


def _limited(what: int, most: int) -> Callable[[], None]:
    return lambda: resource.setrlimit(what, (most, most))


def _gone() -> None:
    """Stand in a folder that is no more."""
    os.mkdir("gone")
    os.chdir("gone")
    os.rmdir("../gone")


def _made(folder: Path) -> None:
    (folder / "recipe.json").write_bytes(text(recipe()))


def _shut(name: str, mode: int) -> Callable[[Path], None]:
    """A file or folder with this mode, of a folder that nobody may otherwise use."""

    def plant(folder: Path) -> None:
        two(folder)
        _made(folder)
        (folder / "shut").mkdir()
        (folder / name).chmod(mode)

    return plant


def _small_disk(size: str) -> Run:
    """A run whose `out` lies on a disk of that size, which only this run sees."""

    def run(folder: Path, arguments: Sequence[str]) -> Ran:
        (folder / "disk").mkdir()
        command = f'mount -t tmpfs -o size={size} none disk && exec "$@"'
        line = ["unshare", "-m", "sh", "-c", command, "sh"]
        return apart(before=line)(folder, arguments)

    return run


def _no_disks() -> str:
    ask = ["unshare", "-m", "sh", "-c", "mount -t tmpfs none /mnt"]
    try:
        able = subprocess.run(ask, capture_output=True, check=False).returncode == 0
    except OSError:
        able = False
    return "" if able else "no disk can be mounted here"


def _unbound() -> str:
    if os.geteuid() and sys.platform != "win32":
        return ""
    able = shutil.which("setpriv") is not None
    return "" if able else "root cannot be bound to what files permit here"


def _locked(folder: Path, arguments: Sequence[str]) -> Ran:
    """A run while another writer holds the drawer."""
    import fcntl

    with (folder / "d" / ".lock").open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        return inside(folder, arguments)


PERMITTED = ("setpriv", "--bounding-set", "-dac_override,-dac_read_search")
BOUND = apart(before=PERMITTED if os.geteuid() == 0 else ())
"""A run that is bound to what files permit, also where root starts it."""
RETIRE: Line = ("retire", FIRST, "--reason", "x", "--drawer", "d")
SCARCE = _limited(resource.RLIMIT_AS, 185_000_000)
"""Too little to load what is needed. From there up to some 450 MB the library that follows rays
loads, and ends the process itself when it finds no more: a signal, which nothing here can turn into
a sentence."""
FILE_SIZE = _limited(resource.RLIMIT_FSIZE, 1000)
DRAWN: Line = ("drawer", "labels", "--drawer", "d", "--out", "l.pdf")
EXPORT: Line = ("drawer", "export", "--drawer", "d", "--out", "o.zip")
MEND: Line = ("check", "--apply", "recipe.json")

MACHINE: tuple[tuple[str, str, Callable[[Path], object], Line, Run, int | None, str,
                     Callable[[], str]], ...] = (
    ("make", "files of 1000 bytes at most", _made, ROUND, apart(beforehand=FILE_SIZE), 2,
     "File too large", str),
    ("retire", "files of 1000 bytes at most", two, RETIRE, apart(beforehand=FILE_SIZE), 2,
     "File too large", str),
    ("labels", "files of 1000 bytes at most", two, DRAWN, apart(beforehand=FILE_SIZE), 2,
     "", str),
    ("export", "files of 1000 bytes at most", two, EXPORT, apart(beforehand=FILE_SIZE), 2,
     "File too large", str),
    ("list", "files of 1000 bytes at most", two, ("drawer", "list", "--drawer", "d"),
     apart(beforehand=FILE_SIZE), 0, FIRST, str),
    ("make", "six open files at most", _made, ROUND,
     apart(beforehand=_limited(resource.RLIMIT_NOFILE, 6)), 0, "5 files", str),
    ("plan", "twelve open files at most", _made, (*SMALL_PLAN, "--out", "out"),
     apart(beforehand=_limited(resource.RLIMIT_NOFILE, 12)), 2, "process", str),
    ("make", "185 MB of memory", _made, ROUND, apart(beforehand=SCARCE), 2, "library", str),
    ("check", "185 MB of memory", _made, ("check", "recipe.json"), apart(beforehand=SCARCE), 2,
     "library", str),
    ("make", "a small stack", _made, ROUND,
     apart(beforehand=_limited(resource.RLIMIT_STACK, 256_000)), 0, "5 files", str),
    ("check", "the current folder is no more", _made, ("check", SHEET), apart(beforehand=_gone),
     0, "mend", str),
    ("make", "the current folder is no more", _made, ROUND, apart(beforehand=_gone), 2, "out",
     str),
    ("make", "a disk of 16 kB", _made, (*ROUND[:-1], "disk/out"), _small_disk("16k"), 2,
     "No space left", _no_disks),
    ("labels", "a disk of 4 kB", two, (*DRAWN[:-1], "disk/l.pdf"), _small_disk("4k"), 2,
     "No space left", _no_disks),
    ("make", "a folder for what is passing that is not there", _made, ROUND,
     apart(environment={"TMPDIR": "/none"}), 0, "5 files", str),
    ("labels", "a folder for what is passing that is not there", two, DRAWN,
     apart(environment={"TMPDIR": "/none"}), 0, "l.pdf", str),
    ("import", "a folder for what is passing that is not there", two,
     ("drawer", "import", f"d/{FIRST}.json", "--drawer", "new"),
     apart(environment={"TMPDIR": "/none"}), 0, "new", str),
    ("check", "a file nobody may read", _shut("recipe.json", 0), ("check", "recipe.json"),
     BOUND, 2, "not readable", _unbound),
    ("make --out", "a folder nobody may write into", _shut("shut", 0o555),
     (*ROUND[:-1], "shut/out"), BOUND, 2, "shut", _unbound),
    ("make --out", "a folder nobody may look into", _shut("shut", 0),
     (*ROUND[:-1], "shut/out"), BOUND, 2, "shut", _unbound),
    ("check --apply", "a folder nobody may write into", _shut(".", 0o555), MEND,
     BOUND, None, "", _unbound),
    ("list", "a drawer nobody may look into", _shut("d", 0), ("drawer", "list", "--drawer", "d"),
     BOUND, 2, "not readable", _unbound),
    ("list", "a drawer nobody may write into", _shut("d", 0o555),
     ("drawer", "list", "--drawer", "d"), BOUND, 0, FIRST, _unbound),
    ("retire", "a drawer nobody may write into", _shut("d", 0o555), RETIRE, BOUND, 2,
     "cannot be written to", _unbound),
    ("list", "a document nobody may read", _shut(f"d/{FIRST}.json", 0),
     ("drawer", "list", "--drawer", "d"), BOUND, 0, "Permission denied", _unbound),
    ("retire", "a document nobody may read", _shut(f"d/{FIRST}.json", 0), RETIRE,
     BOUND, 2, "Permission denied", _unbound),
    ("export", "a document nobody may read", _shut(f"d/{FIRST}.json", 0), EXPORT,
     BOUND, 0, "Permission denied", _unbound),
    ("retire", "another writer that does not let go", two, RETIRE, _locked, 2,
     "being changed by another program", str),
)  # fmt: skip


def rows() -> Iterator[Row]:
    """By what stands at a path, what is replaced, and what the machine refuses."""
    for field, line in READ.items():
        for what, plant in THINGS.items():
            if what.startswith("a pipe") and field not in PIPES:
                continue
            if (field, what) == ("file", "a link to nowhere"):
                continue  # it is told by where it leads
            yield Row("file system", f"{field} FILE", what, _at(plant, line), inside, 2, ("n",))
    for command, line in (("make", ROUND[:-1]), ("plan", (*SMALL_PLAN, "--out"))):
        for what, (plant_out, word) in OUT.items():
            for replace in ((), ("--replace",)):
                whole = (*line, HERE, *replace)
                field = f"{command} --out{' --replace' if replace else ''}"
                word_ = "" if what == "the folder above" else word
                yield Row("file system", field, what, _at(plant_out, whole), inside, 2, (word_,))
    for what, (spoil, word) in REPLACED.items():
        yield Row("file system", "what is replaced", what, _spoilt(spoil), inside, 2, (word,))
    for field, what, plant_, line, run, code, word, needs in MACHINE:
        adds = ADDED.get(field, ()) if code != 2 else ()
        adds = (*adds, *OWN, "disk")
        yield Row("file system", field, what, _planted(plant_, line), run, code, (word,), adds,
                  needs)  # fmt: skip


ADDED = {"make": ("out", "out/*"), "plan": ("out", "out/*"), "labels": ("l.pdf",),
         "export": ("o.zip",), "import": ("new", "new/*"),
         "check --apply": ("recipe-mended.json",)}  # fmt: skip


def _at(plant: Callable[[Path], str], line: Line) -> Callable[[Path], Sequence[str]]:
    return lambda folder: _filled(line, plant(folder))


def _filled(line: Line, path: str) -> Line:
    return tuple(path if each == HERE else each for each in line)


def _spoilt(spoil: Callable[[Path], object]) -> Callable[[Path], Sequence[str]]:
    def plant(folder: Path) -> Sequence[str]:
        spoil(stands(folder))
        return *ROUND, "--replace"

    return plant


def _planted(put: Callable[[Path], object], line: Line) -> Callable[[Path], Sequence[str]]:
    def plant(folder: Path) -> Sequence[str]:
        put(folder)
        return line

    return plant
