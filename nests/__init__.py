"""Holders for watch movements: composed from a sheet, proved, printed, and found again.

The way through the house is one line long::

    sheet + operation -> family -> recipe -> compose -> holder -> checks -> pack

Every step is a pure function of frozen values; only `documents`, `mesh_files` and `pack`
touch files.
"""

__version__ = "0.1.0"
