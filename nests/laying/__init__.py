"""Several holders and loose bodies on one build plate.

`placing` finds where, by outlines alone; `bodies` makes outlines of recipes in the pose they are
printed in; `lain` puts both together and judges the plate; `job` says what to print first; `pack`
makes the files.
"""
