"""How many wrong numbers would be found: python tests/mutants/figures.py [--sample N] [--only WORD]

Every number that report, job sheet, drawing and plan print is made wrong, one at a time and in two
or three ways (doubled, one more, the other sign, hour or side), the documents it stands in are made
anew, and the checks of `tests/figures` read them. A number that no check misses survives and is
listed with its file and line; the command ends with 1 if the share found is below `LEAST`. What
changes no document (a name inside the program, twice nothing) is no wrong number and does not
count. Takes some minutes; it stands beside the tests, of which a small sample is one.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import random
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
sys.path[:0] = [str(ROOT), str(HERE), str(HERE.parent / "figures")]

from sites import LIES, SITES, Site, watch  # noqa: E402

LEAST = 0.95
"""Share of wrong numbers that must be found."""
COORDINATES = (
    *(f"nests.papers.drawing.{name}" for name in ("svg", "pdf", "dxf", "lettering")),
    *(f"nests.papers.report.{name}" for name in ("paper", "typeset")),
)
"""Modules whose numbers are places of lines on paper and the like, not read by anybody."""
ONLY = {"nests.papers.report.paper": " page "}
"""Of such a module, the words beside a number that is read."""
TOO_LONG = 60
"""s after which a document that is not made counts as wrong."""


def modules() -> list[str]:
    """Modules that print."""
    found = [
        *(ROOT / "nests/papers/report").glob("*.py"),
        *(ROOT / "nests/papers/drawing").glob("*.py"),
    ]
    found += [ROOT / "nests/planning" / f"{n}.py" for n in ("coverage", "readiness")]
    found += [ROOT / "nests/load_path/words.py"]
    names = [".".join(p.relative_to(ROOT).with_suffix("").parts) for p in sorted(found)]
    return [n for n in names if not n.endswith("__init__") and n not in COORDINATES]


@dataclass(frozen=True)
class Mutant:
    """A place and how it lies; the documents it stands in, as (papers, kind)."""

    number: int
    lie: str
    stands_in: frozenset[tuple[str, str]]

    @property
    def site(self) -> Site:
        return SITES.all[self.number]


@dataclass(frozen=True)
class Reading:
    """A check of some papers, and the kinds of document it read."""

    check: Callable[[Any], None]
    papers: Any
    kinds: frozenset[str]


def read_all() -> tuple[dict[str, Any], list[Reading]]:
    """Make and read all documents with every number right. A check that fails is not caught."""
    from all_checks import EVERYTHING
    from numbered_holders import MAKING

    papers = {each.name: each for _, each in EVERYTHING}
    SITES.making = MAKING
    for each in papers.values():
        for kind in each.FINISHED:
            each.get(kind)
    out = []
    for check, each in EVERYTHING:
        with each.read_by() as kinds:
            check(each)
        out.append(Reading(check, each, frozenset(kinds)))
    SITES.making = None
    return papers, out


def mutants() -> list[Mutant]:
    """Every way in which every number that was seen can be wrong."""
    out = []
    for number, kinds in sorted(SITES.hits.items()):
        ways: dict[str, set[tuple[str, str]]] = {}
        for kind, documents in kinds.items():
            for lie in LIES[kind]:
                ways.setdefault(lie, set()).update(documents)
        out += [Mutant(number, lie, frozenset(found)) for lie, found in ways.items()]
    return out


def fate(mutant: Mutant, papers: dict[str, Any], readings: list[Reading]) -> str:
    """'found by ...', 'survives' or 'silent', after changing this process for good."""
    SITES.lies = (mutant.number, mutant.lie)
    spoke = False
    for name in sorted({name for name, _ in mutant.stands_in}):
        mine, own = papers[name], {k for n, k in mutant.stands_in if n == name}
        changed = mine.with_dependents(own)
        before = {kind: mine.made[kind] for kind in mine.FINISHED if kind in changed}
        mine.forget(changed)
        for each in readings:
            if each.papers is mine and each.kinds & changed:
                try:
                    each.check(mine)
                except Exception:  # so is a document that cannot be made
                    return f"found by {each.check.__name__}"
        spoke = spoke or any(mine.get(kind) != was for kind, was in before.items())
    return "survives" if spoke else "silent"


def tried(
    todo: list[Mutant], papers: dict[str, Any], readings: list[Reading], workers: int
) -> Iterator[tuple[Mutant, str]]:
    """The fate of each, in forked processes, so that none sees what another changed."""
    running: dict[int, tuple[Mutant, int]] = {}
    waiting = list(todo)
    while waiting or running:
        while waiting and len(running) < workers:
            mutant = waiting.pop(0)
            reads, writes = os.pipe()
            child = os.fork()
            if child == 0:
                signal.alarm(TOO_LONG)
                with open(os.devnull, "w") as nowhere, contextlib.redirect_stdout(nowhere):
                    said = fate(mutant, papers, readings)
                os.write(writes, said.encode())
                os._exit(0)
            os.close(writes)
            running[child] = (mutant, reads)
        child, _ = os.waitpid(next(iter(running)), 0)
        mutant, reads = running.pop(child)
        said = os.read(reads, 1000).decode() or "found by taking too long"
        os.close(reads)
        yield mutant, said


def main() -> int:
    """Ask, try, print."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    asked.add_argument("--sample", type=int, help="so many of them, drawn by --seed")
    asked.add_argument("--seed", type=int, default=26)
    asked.add_argument("--only", default="", help="files whose names have this in them")
    asked.add_argument("--workers", type=int, default=2)
    asked.add_argument("--all", action="store_true", help="list what was found, too")
    told = asked.parse_args()
    begun = time.monotonic()
    watch(modules(), ONLY)
    papers, readings = read_all()
    todo = [m for m in mutants() if told.only in m.site.where]
    random.Random(told.seed).shuffle(todo)
    if told.sample is not None:
        todo = todo[: told.sample]
    fates = dict(tried(todo, papers, readings, told.workers))
    count = Counter(said.split()[0] for said in fates.values())
    for mutant in sorted(fates, key=lambda m: (m.site.where, m.site.line, m.lie)):
        said = fates[mutant]
        if said == "survives" or told.all:
            print(f"{mutant.site.where}: {mutant.lie}: {mutant.site.source[:90]}: {said}")
    counted = count["found"] + count["survives"]
    share = count["found"] / counted if counted else 0.0
    print(
        f"{counted} wrong numbers at {len({m.number for m in fates})} places, "
        f"{count['found']} found, {count['survives']} survive: {100 * share:.1f} %; "
        f"{count['silent']} changed no document; {time.monotonic() - begun:.0f} s"
    )
    return 0 if share >= LEAST else 1


if __name__ == "__main__":
    sys.exit(main())
