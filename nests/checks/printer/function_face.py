"""Function faces: what touches the workpiece is printed in layers.

A level face comes out at a whole number of layers. A leaning face comes out in steps as high as
layer·cos(lean), where the lean is its angle to the plate. A face that looks down hangs on supports.
"""

from __future__ import annotations

import math

import numpy as np

from nests.finding import PRACTICE, Finding, Grade
from nests.given.printer_card import rounding
from nests.parts.answers import Contact
from nests.printing.search import layer_step
from nests.study import Study

EDGE = 1e-6
"""Cosine within which a face is upright, or level."""


def check(study: Study) -> list[Finding]:
    """`clear` where every contact comes out within half a layer, `mend` for the others.

    Contacts are level and look up in the pose of use; a body without a recipe has none.
    """
    holder = study.holder
    faces = tuple(c for c in holder.contacts if c.printed) if holder is not None else ()
    if holder is None or not faces:  # a mould touches no workpiece
        return []
    upright = float(study.pose.rotation()[2, 2])
    if upright < -EDGE:
        return [_hanging(study, part) for part in sorted({c.part for c in faces})]
    if upright < 1.0 - EDGE:
        return [_stepped(study, faces[0], upright)]
    return [_level(study, faces)]


def _level(study: Study, contacts: tuple[Contact, ...]) -> Finding:
    layer = study.layers.layer
    errors = [rounding(study.in_print(contact.place)[2], layer) for contact in contacts]
    # of equal errors the first
    index = max(range(len(errors)), key=lambda i: (round(abs(errors[i]), 9), -i))
    error, contact = errors[index], contacts[index]
    return Finding(
        check="function face",
        grade=Grade.CLEAR,
        says=f"level contacts come out within {abs(error) * 1000:.0f} µm of their height, the "
        f"worst is {contact.part} ({error * 1000:+.0f} µm), in layers of {layer * 1000:g} µm.",
        value=abs(error),
        limit=layer / 2,
        unit="mm",
        origin="half a layer, by rounding to whole layers",
        parts=(contact.part,),
        place=contact.place,
    )


def _stepped(study: Study, contact: Contact, upright: float) -> Finding:
    layer = study.layers.layer
    step = layer_step(np.array([upright]), layer)
    fits = step <= layer / 2 + 1e-9
    lean = math.degrees(math.acos(upright))
    return Finding(
        check="function face",
        grade=Grade.CLEAR if fits else Grade.MEND,
        says=f"contacts lean {lean:.0f}° to the plate and come out in steps of "
        f"{step * 1000:.0f} µm, in layers of {layer * 1000:g} µm.",
        value=step,
        limit=layer / 2,
        unit="mm",
        origin="layer·cos(lean), against half a layer for a level face",
        parts=(contact.part,),
        place=contact.place,
        remedy="" if fits else "a pose in which the contacts are level or stand upright",
    )


def _hanging(study: Study, part: str) -> Finding:
    assert study.holder is not None
    contact = next(each for each in study.holder.contacts if each.part == part)
    on = "on supports, which mark it" if study.pose.on_supports else "over nothing"
    return Finding(
        check="function face",
        grade=Grade.MEND,
        says=f"{part} touches {contact.touches} with a face that looks down in print: it is "
        f"printed {on}.",
        parts=(part,),
        place=contact.place,
        origin=PRACTICE,
        remedy="a pose in which the contacts look up",
    )
