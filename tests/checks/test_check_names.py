"""A check has one name with one spelling: that of its file, with blanks."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from manifold3d import Manifold

import nests.checks as registry
from nests.checks import judge, named, names
from nests.finding import Finding, Grade
from nests.given.printer_card import PrinterCard
from nests.orders import remedies
from nests.study import Study

FILES = sorted(
    path for path in Path(registry.__file__).parent.rglob("*.py") if path.stem != "__init__"
)


def literals(path: Path) -> set[str]:
    """Every `check="..."` and `refuse("...")` of a file."""
    calls = [n for n in ast.walk(ast.parse(path.read_text())) if isinstance(n, ast.Call)]
    given = [k.value for call in calls for k in call.keywords if k.arg == "check"]
    given += [c.args[0] for c in calls if isinstance(c.func, ast.Name) and c.func.id == "refuse"]
    return {str(n.value) for n in given if isinstance(n, ast.Constant)}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_check_calls_its_findings_by_its_own_name(path: Path) -> None:
    if path.stem.startswith("_"):  # shared by checks, and for one of them
        assert literals(path) <= set(names())
        return
    assert path.stem.replace("_", " ") in names()
    own = {path.stem.replace("_", " ")}
    assert literals(path) <= own
    # one says it by a variable, the other passes on what `nests.consistency` found
    assert literals(path) or path.stem in ("loose_bodies", "consistency")


def test_the_names_have_no_second_spelling() -> None:
    assert len(names()) == len(set(names())) >= 19
    assert set(names("printer")).isdisjoint(names("bench"))
    assert {*names("printer"), *names("bench"), "composition", "consistency"} == set(names())
    assert not [name for name in names() if "_" in name]


def test_remedies_are_for_checks_that_there_are() -> None:
    assert {*remedies.RULES, *remedies.POSED} <= set(names("printer"))


def test_a_name_that_no_check_has_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked for, or on a finding; one of another check may be told on, as of loose bodies."""
    from nests.checks.printer import soundness

    study = Study(Manifold.cube((4.0, 4.0, 4.0)), PrinterCard())
    for wrong in ("load_path", "loose body", ""):
        with pytest.raises(ValueError, match="there is no check"):
            named(wrong)
        with pytest.raises(ValueError, match="there is no check"):
            judge(study, (wrong,))
        astray = Finding(check=wrong, grade=Grade.UNKNOWN, says="not assessed.")
        monkeypatch.setattr(soundness, "check", lambda _, astray=astray: [astray])
        with pytest.raises(ValueError, match="there is no check"):
            judge(study, ("soundness",))
