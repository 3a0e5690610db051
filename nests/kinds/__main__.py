"""`python -m nests.kinds`: write the schemas of a checkout anew from the classes."""

from pathlib import Path

from nests.kinds import schemas

folder = Path(__file__).parent.parent.parent / "schemas"
for name, content in schemas().items():
    (folder / name).write_bytes(content)
