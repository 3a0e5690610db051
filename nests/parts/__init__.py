"""The parts a recipe is made of, one file each; a new file here is a new part, nothing else."""

from importlib import import_module
from pkgutil import iter_modules

for _module in sorted(each.name for each in iter_modules(__path__)):
    import_module(f"{__name__}.{_module}")
