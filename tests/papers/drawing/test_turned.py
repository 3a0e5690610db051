"""The half-profile for a turner: turned round its axis it is the body, to brass's tolerances."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import ezdxf
import numpy as np
import pytest
from drawn_holders import holder
from ezdxf.document import Drawing as Document

from nests.given.printer_card import PrinterCard
from nests.holder.compose import compose
from nests.papers.drawing import turned_dxf
from nests.parts.ring_seat import RingSeat

ROUND = ("inv-26-a-hand-setting", "round-30-0-6-0-25-6", "inv-tc-12-cradle-dial")


def read(name: str) -> Document:
    data = turned_dxf(holder(name))
    assert data is not None
    return ezdxf.read(io.StringIO(data.decode("utf-8")))


def profiles(doc: Document) -> list[np.ndarray]:
    found = [e for e in doc.modelspace().query("LWPOLYLINE[layer=='outline']") if e.closed]
    return [np.array(each.get_points("xy")) for each in found]


@pytest.mark.parametrize("name", ROUND)
def test_the_file_is_sound(name: str) -> None:
    doc = read(name)
    audit = doc.audit()
    assert not audit.errors
    assert not audit.fixes
    assert len(profiles(doc)) == 1


def test_turned_round_its_axis_it_has_the_volume_of_the_body() -> None:
    # second theorem of Pappus: V = 2π · (first moment of the half-profile about the axis)
    made = holder("inv-26-a-hand-setting")
    seat = next(p for p in made.recipe.parts if isinstance(p, RingSeat))
    # without the groove the seat has no drains, and goes round
    plain = replace(made.recipe, parts=(replace(seat, corner_relief=0.0, gaps=()),))
    body = compose(replace(plain, printer=PrinterCard()))
    data = turned_dxf(compose(plain))
    assert data is not None
    (profile,) = profiles(ezdxf.read(io.StringIO(data.decode("utf-8"))))
    axis = profile[:, 1].min()
    z, r = profile[:, 0], profile[:, 1] - axis
    ahead_z, ahead_r = np.roll(z, -1), np.roll(r, -1)
    moment = np.sum((z * ahead_r - ahead_z * r) * (r + ahead_r)) / 6
    volume = abs(2 * math.pi * moment)
    # chords take away or leave up to the chord error on either face
    assert volume == pytest.approx(body.solid.volume(), rel=1e-3)


def test_brass_has_no_printer_bias_and_the_bore_its_grade() -> None:
    # 26.00 of the sheet + 0.10 of play; IT8 above 18 to 30 mm is 33 µm (ISO 286-1, table 1)
    doc = read("inv-26-a-hand-setting")
    bores = [e for e in doc.modelspace().query("DIMENSION") if "+0.033/0" in e.dxf.text]
    assert [round(e.dxf.actual_measurement, 4) for e in bores] == [26.10]
    assert bores[0].dxf.text == "%%c<> +0.033/0"


def test_what_is_not_round_is_not_for_a_lathe() -> None:
    assert turned_dxf(holder("inv-17-t-shaped")) is None
