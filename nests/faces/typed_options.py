"""Options of the command line: a type for each kind of number, its unit and limits in words."""

from __future__ import annotations

import types
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal, Union, get_args, get_origin

import click

from nests.lengths import read_length
from nests.units import BadInput

if TYPE_CHECKING:
    _Type = click.ParamType[Any]
    _Number = click.ParamType[float]
else:  # only newer releases of click let the class be subscripted when it runs
    _Type = _Number = click.ParamType


@dataclass(frozen=True)
class Typed:
    """A length from the command line that remembers whether it was typed in lignes."""

    mm: float
    from_ligne: bool


class _LengthType(_Type):
    """A length with its unit, mm where none is written."""

    name = "mm"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if isinstance(value, Typed):
            return value
        written = read_length(str(value), param.opts[0] if param else "length")
        return Typed(written.mm, written.from_ligne)


class _LengthsType(_Type):
    """Lengths with commas between them."""

    name = "mm,mm"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if isinstance(value, tuple):
            return value
        label = param.opts[0] if param else "lengths"
        return tuple(read_length(each, label).mm for each in str(value).split(",") if each)


class NumberType(_Number):
    """A number of some unit."""

    def __init__(self, unit: str, allowed: str) -> None:
        """`allowed` is its span in words, for whoever types something else."""
        self.name = unit or "number"
        self.allowed = allowed

    def get_metavar(self, param: click.Parameter, ctx: click.Context | None = None) -> str:
        """The unit, as it is written."""
        return self.name

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The number; raises `BadInput`."""
        try:
            return float(value)
        except ValueError:
            label = param.opts[0] if param else "number"
            unit = f" in {self.name}" if self.name != "number" else ""
            raise BadInput(
                f"{label} is '{value}'; allowed is a number{unit}, {self.allowed}."
            ) from None


class _WrittenType(_Type):
    """Several numbers written as one, by a class that has `form` and `read`."""

    def __init__(self, written: Any) -> None:
        """Keep the class."""
        self.name, self.written = written.form, written

    def get_metavar(self, param: click.Parameter, ctx: click.Context | None = None) -> str:
        """How it is written."""
        return self.name

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The value; raises `BadInput`."""
        if not isinstance(value, str):
            return value
        return self.written.read(value, param.opts[0] if param else "option")


def _is_written(hint: Any) -> bool:
    """Whether an option is several numbers written as one."""
    return isinstance(getattr(hint, "form", None), str)


def option(each: Any, hint: Any) -> click.Option:
    """A command-line option from a field: type, unit, limits, default, words."""
    about = each.metadata["quantity"]
    origin, args = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        hint = next(a for a in args if a is not type(None))
        origin, args = get_origin(hint), get_args(hint)
    name = each.name.replace("_", "-")
    shown = "" if each.default in (None, "", ()) or each.default is False else f"; {each.default}"
    span = f" [{about.span()}{shown}]" if about.low is not None else shown and f" [{shown[2:]}]"
    words = f"{about.meaning}{span}"
    if hint is bool:
        return click.Option([f"--{name}/--no-{name}"], default=None, help=words)
    kind: click.ParamType[Any] = click.STRING
    if origin is Literal:
        kind = click.Choice([str(a) for a in args])
    elif origin is tuple and _is_written(args[0]):
        kind = _WrittenType(args[0])
        return click.Option([f"--{name}"], type=kind, multiple=True, help=words)
    elif _is_written(hint):
        kind = _WrittenType(hint)
    elif origin is tuple:
        kind = _LengthsType()
    elif hint is float:
        kind = _LengthType() if about.unit == "mm" else NumberType(about.unit, about.span())
    elif hint is int:
        kind = click.INT
    return click.Option([f"--{name}"], type=kind, default=None, help=words)
