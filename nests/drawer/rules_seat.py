"""Rules of the seat: does the rim go in, is it carried, and do clips meet it?"""

from __future__ import annotations

from collections.abc import Iterator

from nests.drawer.ruling import ruling
from nests.drawer.seats import GAUGED
from nests.drawer.sitting import Sitting
from nests.finding import Finding, Grade
from nests.given.operation import Operation
from nests.holder.workpiece import uncertainty
from nests.kinds.kept import KeptHolder
from nests.parts.answers import Finger
from nests.units import Length

LEAST_LEDGE: Length = 0.2
"""mm of ledge under the rim, however it shifts; from memory."""
LEAST_WALL: Length = 0.2
"""mm of straight wall beside the rim, to centre it; from memory."""
LOST: Length = 1.0
"""mm of play on the ⌀ beyond which a seat centres nothing; from memory."""
HOOK: Length = 0.05
"""mm a rim may be higher than the one a clip was drawn for; from memory."""


def seat_fits(at: Sitting, kept: KeptHolder, part: str) -> Iterator[Finding]:
    """Does the rim go in, is it centred, and does the ledge carry it?"""
    seat, play = at.seat, at.play
    if seat.gauged:
        spread, known = max(seat.spread, GAUGED), "gauged"
    else:
        card = kept.recipe.printer
        spread, known = card.scatter + card.bore_doubt(seat.bore), "as drawn, not gauged"
    doubt = spread + uncertainty(at.sheet, "/outline")
    most = seat.most
    grade = Grade.CLEAR
    if play < 0.0 or play > LOST:
        grade = Grade.STOP
    elif play - doubt < 0.0 or play > most:
        grade = Grade.MEND
    how = "too small" if play < 0.0 else "too wide" if play > most else "so that"
    yield ruling(
        "seat",
        grade,
        f"the seat of {seat.bore:.2f} mm ({known}) leaves the rim of {at.across:.2f} mm "
        f"{play:.2f} ± {doubt:.2f} mm of play{'' if how == 'so that' else f': {how}'}.",
        {Grade.STOP: "another holder", Grade.MEND: "gauge the seat and the rim again"}.get(
            grade, ""
        ),
        play,
        most,
        part,
    )
    if seat.ledge is not None and not at.on_tips:
        width = (at.across - max(play, 0.0) - seat.opening) / 2
        yield ruling(
            "seat",
            Grade.CLEAR if width >= LEAST_LEDGE else Grade.STOP,
            f"the ledge reaches {width:.2f} mm under the rim where the rim lies farthest off it.",
            "" if width >= LEAST_LEDGE else "another holder: the movement would drop through",
            width,
            LEAST_LEDGE,
            part,
        )
    straight = min(seat.mouth, at.level + at.sheet.rim) - at.level
    if straight < LEAST_WALL:
        yield ruling(
            "seat",
            Grade.MEND,
            f"{max(straight, 0.0):.2f} mm of straight wall stands beside the rim to centre it.",
            "hold it by hand, or another holder",
            straight,
            LEAST_WALL,
            part,
        )


def heights(at: Sitting, part: str) -> Iterator[Finding]:
    """Is there room below, and does a flange that looks up meet the wall?"""
    down, seat = at.site.side_down, at.seat
    room = at.carried - seat.floor - at.sheet.height(down)
    if room < 0.0:
        yield ruling(
            "height",
            Grade.STOP,
            f"the {down.value} side stands {at.sheet.height(down):.2f} mm out of the rim face; the "
            f"seat holds it {at.carried - seat.floor:.2f} mm above its floor.",
            "another holder: the movement would stand on its highest part",
            room,
            0.0,
            part,
        )
    wide, tall = at.sheet.edge(at.site.side_up)
    under = at.level + at.sheet.rim - tall
    if wide > 0.0 and at.site.across + 2 * wide > seat.bore and under < seat.top:
        yield ruling(
            "height",
            Grade.STOP,
            f"the flange would meet the wall {seat.top - under:.2f} mm before the rim lies down.",
            "another holder, with a shallower seat",
            under - seat.top,
            0.0,
            part,
        )


def hold(at: Sitting, kept: KeptHolder, operation: Operation) -> Iterator[Finding]:
    """Do clips and tabs meet the upper rim face?"""
    old = kept.recipe.site()
    fitted = [(p.label(), g) for p in kept.recipe.parts if (g := p.holding(old)) is not None]
    higher = (at.level + at.sheet.rim) - (old.seat + old.sheet.rim)
    fingers = [grip.made for _, grip in fitted if isinstance(grip.made, Finger)]
    loose = max((each.play for each in fingers), default=0.0) + HOOK
    if not fitted or (-loose <= higher <= HOOK):
        return
    grade = Grade.STOP if operation.turned_over or higher > HOOK else Grade.MEND
    way = "higher" if higher > 0 else "lower"
    yield ruling(
        "hold",
        grade,
        f"the upper rim face lies {abs(higher):.2f} mm {way} than {fitted[0][0]} was drawn for"
        f": it {'does not close' if higher > 0 else 'lies loose'}.",
        "another holder" if grade is Grade.STOP else "do not turn it over",
        abs(higher),
        HOOK,
        fitted[0][0],
    )
