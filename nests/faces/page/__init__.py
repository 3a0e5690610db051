"""The bench page: the whole job in a browser on this machine; it asks and shows, and holds no rule.

The idea: what lies before a watchmaker who makes a holder is a sheet of drawing paper. On it the
movement is drawn from above, as large as a plate, with the hours round it like a dial; under it, on
the same upright axis and in the same scale, the cut through movement and holder, as a drawing
board has it; beside them the thing itself, inked. Nothing hangs about the paper: no bars of tools,
no tree. What one does is written where a workshop writes it: a slip laid beside the drawing with
the readings of the one thing that is being measured, remarks in the margin with a mark that leads
to their place, and at the foot the title block, in which stand name, operation, family and verdict,
and from which the pack is taken. Paper is paper, ink is ink; jewels are ruby, metal is brass, and
what is pressed is red lead. No state is told by colour alone: hatching, a mark and a word say it.

Asked which program it reminds of, the answer was: one for drafting, as long as there were bars of
tools above it and a tree of parts and a pane of properties at its sides. There are none: what can
be done stands in the title block and on the slip, in words.

It is a server of Starlette with small modules of our own. NiceGUI was tried: a page of it is never
shown under a content security policy that lets nothing run or load but what lies on our own server
(eleven inline scripts and styles are refused), it loads 1.4 MB and 1.3 s of Python, and axe-core
finds faults in what it writes. With the policy the browser itself holds that nothing leaves the
machine. 4000 corners of a holder need no engine: one file draws them.
"""
