"""Mechanics of a workpiece on its holder: pure functions of numbers and arrays.

Nothing here knows of sheets, recipes or holders; the checks translate those into places,
stiffnesses and forces, and read the answer back.

=============  ====================================================================================
module         what it computes
=============  ====================================================================================
``mesh``       triangles of a plan view: conforming Delaunay refinement, structured disc
``argyris``    the C1 quintic triangle for thin plates
``plate``      Kirchhoff plate of any outline with thinner regions, factored once
``contact``    plate, beam or rigid body on supports that push but never pull, each with a gap
``carried``    a plate on such supports: reactions, deflection, which lift off, whether it tips
``jewel``      how a press divides between a jewel's friction fit and the post under the jewel
``press_fit``  Lamé pressure, stresses and push-out force of an interference fit
``column``     sections and segments, Euler's and Johnson's loads, bearing pressure, creep
``revolved``   elastic bodies of revolution by a few finite elements, pressed or tilted
``post``       stake post on its floor: stiffness, load that buckles it, narrowest section
``clip``       snap clip on its floor: strain, deflection, forces in and out, where it lets go
``holding``    shares of a weight between the hooks it hangs on, turned over
``tolerance``  ISO 286 classes; clearance as worst case, root sum of squares and probability
``rests``      support polygon, tipping and sliding; compliance of a beam and of a rigid body
=============  ====================================================================================

Units: mm, N, MPa (N/mm²), radians. Forces and deflections are positive downwards, the way a press
acts; reactions are positive upwards; a gap is positive where the support is short.
"""
