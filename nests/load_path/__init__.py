"""Who takes the press: from a sheet and the parts of a holder to the force in every support.

=============  ====================================================================================
module         what it gives
=============  ====================================================================================
``stock``      the plate or bridges that carry the pressed jewel, as an elastic plate
``supports``   what carries that plate: ledge, posts and pads from below, clips and tabs from above
``push_out``   the force at which a jewel slides in its hole: measured, computed, or from memory
``paths``      the load path of each press, nominal and over the spread of its post's height
``setting``    the heights at which a post catches the jewel in time, and what can hold them
``steadiness`` how firmly a workpiece stands on its feet
=============  ====================================================================================

All of it follows from the sheet and the parts, not from the solid, so that a family can ask while
it still chooses. `stock` and `paths` need scipy: whoever may do without imports them late.

The model is that of `mechanics.carried` and `mechanics.jewel`. What it assumes is said in every
finding: one plate of the stock's thickness over the whole outline, so that bridges are taken as
stiff as a plate of their thickness, and neither the pillars nor the plate under them add to it.
"""
