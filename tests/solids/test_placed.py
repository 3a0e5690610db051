"""3MF whose components multiply, hang in a chain or hold themselves: told before it is built."""

import time
import zipfile

import pytest

from nests.solids.foreign import read_mesh
from nests.units import BadInput

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
TYPES = (
    '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-'
    'types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.'
    'relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.'
    '3dmanufacturing-3dmodel+xml"/></Types>'
)
RELATIONS = (
    '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/'
    'relationships"><Relationship Target="/3D/3dmodel.model" Id="r" Type="http://schemas.microsoft'
    '.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)
CORNERS = ((0, 0, 0), (20, 0, 0), (0, 20, 0), (0, 0, 20))
FACES = ((0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3))
TETRAHEDRON = (
    "<mesh><vertices>"
    + "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in CORNERS)
    + "</vertices><triangles>"
    + "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in FACES)
    + "</triangles></mesh>"
)


def package(path, groups, item):
    """A tetrahedron as object 1; each group is an object with the components it names."""
    objects = [f'<object id="1" type="model">{TETRAHEDRON}</object>']
    for number, inside in groups:
        parts = "".join(f'<component objectid="{each}"/>' for each in inside)
        objects.append(f'<object id="{number}"><components>{parts}</components></object>')
    model = (
        f'<?xml version="1.0"?><model unit="millimeter" xmlns="{CORE}"><resources>'
        + "".join(objects)
        + f'</resources><build><item objectid="{item}"/></build></model>'
    )
    with zipfile.ZipFile(path, "w") as out:
        out.writestr("[Content_Types].xml", TYPES)
        out.writestr("_rels/.rels", RELATIONS)
        out.writestr("3D/3dmodel.model", model)
    return path


def chain(length):
    """Groups 2 to `length` + 1, each of which holds the one before."""
    return [(k, [k - 1]) for k in range(2, length + 2)]


@pytest.mark.parametrize(
    ("groups", "item", "said"),
    [
        (chain(990), 991, "has 991 objects that hold one another in a chain; at most 64"),
        (chain(64), 65, "has 65 objects that hold one another in a chain; at most 64"),
        (
            [(k, [k - 1, k - 1]) for k in range(2, 40)],
            39,
            # 2^38 bodies and the 2^38 - 1 groups above them
            "places more than 1000 objects and components: 5.498e+11",
        ),
        ([(2, [1] * 1000)], 2, "places more than 1000 objects and components: 1001"),
        ([(2, [3]), (3, [2])], 2, "has an object that holds itself"),
        ([(2, [2])], 2, "has an object that holds itself"),
    ],
)
def test_a_package_that_places_too_much_is_refused_at_once(tmp_path, groups, item, said):
    path = package(tmp_path / "given.3mf", groups, item)
    begin = time.process_time()
    with pytest.raises(BadInput) as refused:
        read_mesh(path)
    assert said in str(refused.value)
    assert time.process_time() - begin < 2.0


def test_a_chain_as_long_as_is_followed_is_read(tmp_path):
    """Volume by hand: a sixth of the cube."""
    path = package(tmp_path / "given.3mf", chain(63), 64)
    assert read_mesh(path).volume() == pytest.approx(20.0**3 / 6, rel=1e-6)


def test_groups_of_groups_are_read(tmp_path):
    """One group with 9 of one with 9 boxes, all in one place."""
    path = package(tmp_path / "given.3mf", [(2, [1] * 9), (3, [2] * 9)], 3)
    assert read_mesh(path).volume() == pytest.approx(20.0**3 / 6, rel=1e-6)
