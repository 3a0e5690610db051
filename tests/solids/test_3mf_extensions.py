"""3MF whose shape lies in an extension is refused and never judged by its stand-in.

The packages are written here by hand; namespaces and names of the 3MF Consortium's published
extension specifications are from memory.
"""

from __future__ import annotations

import zipfile

import pytest

from nests.faces.cli import main
from nests.solids.foreign import read_mesh
from nests.units import BadInput

MS = "http://schemas.microsoft.com/3dmanufacturing"
CORE = f"{MS}/core/2015/02"
PRODUCTION = f"{MS}/production/2015/06"
MATERIAL = f"{MS}/material/2015/02"
SLICE = f"{MS}/slice/2015/07"
BEAM = f"{MS}/beamlattice/2017/02"
BOOLEAN = "http://schemas.3mf.io/3dmanufacturing/booleanoperations/2023/07"
VOLUMETRIC = "http://schemas.3mf.io/3dmanufacturing/volumetric/2022/01"
IMPLICIT = "http://schemas.3mf.io/3dmanufacturing/implicit/2023/12"
DISPLACEMENT = f"{MS}/displacement/2022/07"
START = f"{MS}/2013/01/3dmodel"
OPC = "http://schemas.openxmlformats.org/package/2006"
CORNERS = [(x, y, z) for z in (0, 5) for y in (0, 20) for x in (0, 30)]
FACES = "021 123 456 576 014 154 263 367 042 246 135 375"
VOLUME = 3000.0


def mesh(inside="", scale=1.0, on_triangle=""):
    corners = "".join(f'<vertex x="{x * scale}" y="{y}" z="{z}"/>' for x, y, z in CORNERS)
    faces = "".join(
        f'<triangle v1="{a}" v2="{b}" v3="{c}"{on_triangle}/>' for a, b, c in FACES.split()
    )
    return f"<mesh><vertices>{corners}</vertices><triangles>{faces}</triangles>{inside}</mesh>"


def thing(shape=None, more="", number=1):
    return f'<object id="{number}" type="model" name="brick"{more}>{shape or mesh()}</object>'


def model(
    resources=None, more="", build='<item objectid="1"/>', unit=' unit="millimeter"', before=""
):
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{before}<model{unit} xmlns="{CORE}"{more}>'
        f"<resources>{resources or thing()}</resources><build>{build}</build></model>"
    )


def relations(*targets):
    each = "".join(
        f'<Relationship Target="{target}" Id="r{k}" Type="{START}"/>'
        for k, target in enumerate(targets)
    )
    return f'<?xml version="1.0"?><Relationships xmlns="{OPC}/relationships">{each}</Relationships>'


def package(path, start, **others):
    """A 3MF with one model, and others beside it by name."""
    types = "".join(
        f'<Default Extension="{name}" ContentType="{kind}"/>'
        for name, kind in (
            ("rels", "application/vnd.openxmlformats-package.relationships+xml"),
            ("model", "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"),
        )
    )
    with zipfile.ZipFile(path, "w") as out:
        out.writestr("[Content_Types].xml", f'<Types xmlns="{OPC}/content-types">{types}</Types>')
        out.writestr("_rels/.rels", relations("/3D/3dmodel.model"))
        if others:
            targets = [f"/3D/{name}.model" for name in others]
            out.writestr("3D/_rels/3dmodel.model.rels", relations(*targets))
        out.writestr("3D/3dmodel.model", start)
        for name, text in others.items():
            out.writestr(f"3D/{name}.model", text)
    return path


def refusal(capsys, path):
    """The one sentence with which `nests check` refuses a file."""
    with pytest.raises(SystemExit) as ended:
        main(["check", str(path)])
    assert ended.value.code == 2
    out = capsys.readouterr()
    assert out.out == ""
    assert out.err.count("\n") == 1
    return out.err


def space(prefix, name):
    return f' xmlns:{prefix}="{name}"'


def asking(prefix, name):
    return f'{space(prefix, name)} requiredextensions="{prefix}"'


BEAMS = (
    '<b:beamlattice radius="1" minlength="0.1"><b:beams><b:beam v1="0" v2="7"/></b:beams>'
    "</b:beamlattice>"
)

REQUIRED = {
    "slice stacks": SLICE,
    "beam lattices": BEAM,
    "boolean operations": BOOLEAN,
    "volumes": VOLUMETRIC,
    "implicit shapes": IMPLICIT,
    "displacement": DISPLACEMENT,
    "http://example.org/of/a/workshop": "http://example.org/of/a/workshop",
}


@pytest.mark.parametrize("said", REQUIRED)
def test_a_required_extension_that_is_not_read_is_refused(capsys, tmp_path, said):
    """Whatever prefix it is given; the mesh in the core is a sound box."""
    path = package(tmp_path / "a.3mf", model(more=asking("any", REQUIRED[said])))
    assert f"requires the 3MF extension {'' if '/' in said else 'for '}" in (
        sentence := refusal(capsys, path)
    )
    assert said in sentence


def test_every_required_extension_is_looked_at(capsys, tmp_path):
    more = f'{space("m", MATERIAL)}{space("z", SLICE)} requiredextensions="m z"'
    assert "slice stacks" in refusal(capsys, package(tmp_path / "a.3mf", model(more=more)))


ASKED = {
    "a slice stack": ("slice stacks", thing(more=' q:slicestackid="7"'), SLICE),
    "a coarse mesh": ("slice stacks", thing(more=' q:meshresolution="lowres"'), SLICE),
    "a slice stack in the resources": ("slice stacks", f'<q:slicestack id="7"/>{thing()}', SLICE),
    "beams": ("beam lattices", thing(mesh(BEAMS.replace("b:", "q:"))), BEAM),
    "a level set": ("volumes", thing('<q:levelset functionid="5" channel="shape"/>'), VOLUMETRIC),
    "volume data": ("volumes", thing(mesh('<q:volumedata><q:boundary/></q:volumedata>')),
                    VOLUMETRIC),
    "a function": ("implicit shapes", f'<q:implicitfunction id="4"/>{thing()}', IMPLICIT),
    "a boolean": ("boolean operations",
                  thing() + thing('<q:booleanshape objectid="1"/>', number=2), BOOLEAN),
    "a displaced mesh": ("displacement", thing(mesh("<q:displacementtriangles/>")), DISPLACEMENT),
    "displaced triangles": ("displacement", thing(mesh(on_triangle=' q:did="1"')), DISPLACEMENT),
    "an unknown one": ("http://example.org/q", thing(mesh("<q:shape/>")), "http://example.org/q"),
}  # fmt: skip


@pytest.mark.parametrize("case", ASKED)
def test_an_object_that_asks_for_another_shape_is_refused(capsys, tmp_path, case):
    """Nothing is required; the stand-in is a sound box of its own."""
    said, resources, name = ASKED[case]
    path = package(tmp_path / "a.3mf", model(resources, space("q", name)))
    sentence = refusal(capsys, path)
    assert said in sentence
    assert "which is not read" in sentence


def test_the_object_is_named(capsys, tmp_path):
    path = package(tmp_path / "a.3mf", model(thing(mesh(BEAMS)), space("b", BEAM)))
    assert "the object 'brick' asks for the 3MF extension for beam lattices" in refusal(
        capsys, path
    )


def test_an_element_of_the_core_that_there_is_not(capsys, tmp_path):
    path = package(tmp_path / "a.3mf", model(thing(mesh("<curves/>"))))
    assert "the object 'brick' has the element 'curves'" in refusal(capsys, path)


def test_colours_metadata_and_sets_of_triangles_pass(tmp_path):
    sets = '<t:trianglesets><t:triangleset name="top" identifier="top"/></t:trianglesets>'
    resources = (
        '<basematerials id="8"><base name="resin" displaycolor="#FF0000"/></basematerials>'
        '<m:colorgroup id="9"><m:color color="#00FF00"/></m:colorgroup>'
        + thing(mesh(sets, on_triangle=' pid="9" p1="0"'), ' pid="8" pindex="0"')
    )
    more = (
        space("m", MATERIAL) + space("t", f"{MS}/trianglesets/2021/07")
        + space("v", "http://example.org/v") + ' requiredextensions="m"'
    )  # fmt: skip
    text = model(resources, more).replace(
        "<resources>", '<metadata name="v:Colour">red</metadata><resources>', 1
    )
    path = package(tmp_path / "a.3mf", text)
    assert read_mesh(path).volume() == pytest.approx(VOLUME, rel=1e-6)


@pytest.mark.parametrize("by", ["item", "component"])
def test_a_shape_in_another_model_part_is_read(tmp_path, by):
    """The object of the same number in the first part is another one, twice as small."""
    where = 'objectid="1" p:path="/3D/other.model"'
    group = f'<object id="2" type="model"><components><component {where}/></components></object>'
    build = f"<item {where}/>" if by == "item" else '<item objectid="2"/>'
    first = model(thing() + group, asking("p", PRODUCTION), build)
    path = package(tmp_path / "a.3mf", first, other=model(thing(mesh(scale=2.0)), build=""))
    assert read_mesh(path).volume() == pytest.approx(2 * VOLUME, rel=1e-6)


def test_another_model_part_is_looked_through_too(capsys, tmp_path):
    where = 'objectid="1" p:path="/3D/other.model"'
    first = model(more=asking("p", PRODUCTION), build=f"<item {where}/>")
    for other in (
        model(thing(mesh(BEAMS)), space("b", BEAM), ""),
        model(None, asking("b", BEAM), ""),
    ):
        path = package(tmp_path / "a.3mf", first, other=other)
        assert "beam lattices" in refusal(capsys, path)
    path = package(tmp_path / "a.3mf", first, other=model(build="", unit=' unit="inch"'))
    assert "is drawn in inch and millimeter" in refusal(capsys, path)


def test_a_part_that_the_path_does_not_find(capsys, tmp_path):
    first = model(
        more=asking("p", PRODUCTION), build='<item objectid="1" p:path="/3D/lost.model"/>'
    )
    assert "no readable 3MF model" in refusal(capsys, package(tmp_path / "a.3mf", first))


@pytest.mark.parametrize(
    ("unit", "said"),
    [
        (' unit="milimeter"', "unit of its model is 'milimeter'; allowed is micron, millimeter"),
        (' unit="mm"', "unit of its model is 'mm'"),
        (' unit=""', "unit of its model is ''"),
        (' unit="Inch"', "unit of its model is 'Inch'"),
        (' Unit="inch"', "has the field 'Unit'; 'unit' is allowed"),
    ],
)
def test_a_unit_that_is_none_is_refused(capsys, tmp_path, unit, said):
    path = package(tmp_path / "a.3mf", model(unit=unit))
    assert said in refusal(capsys, path)


def test_without_a_unit_it_is_millimetres(tmp_path):
    path = package(tmp_path / "a.3mf", model(unit=""))
    assert read_mesh(path).volume() == pytest.approx(VOLUME, rel=1e-6)


def test_a_prefix_without_a_namespace_is_refused(capsys, tmp_path):
    path = package(tmp_path / "a.3mf", model(more=' requiredextensions="b"'))
    assert "requires the extension 'b' and does not say which" in refusal(capsys, path)


def test_no_doctype_wherever_it_stands(capsys, tmp_path):
    doctype = '<!DOCTYPE model [<!ENTITY lol "lol">]>'
    path = package(tmp_path / "a.3mf", model(before=doctype))
    assert "has a DOCTYPE, and none is allowed" in refusal(capsys, path)
    path = package(tmp_path / "b.3mf", model(), other=model(before=doctype))
    assert "has a DOCTYPE, and none is allowed" in refusal(capsys, path)


def test_xml_beyond_its_bounds_is_refused(tmp_path):
    """A word of megabytes, elements inside each other without end, and an end that is missing."""
    long = model(more=f' x="{"y" * 3_000_000}"')
    with pytest.raises(BadInput, match="are one word"):
        read_mesh(package(tmp_path / "a.3mf", long))
    deep = model().replace("<resources>", f'<metadata name="a">{"<a>" * 10_000}', 1)
    with pytest.raises(BadInput, match="nested more than 64 deep"):
        read_mesh(package(tmp_path / "b.3mf", deep))
    with pytest.raises(BadInput, match="XML is broken"):
        read_mesh(package(tmp_path / "c.3mf", model()[:-20]))


def test_a_general_reader_takes_the_stand_in(capsys, tmp_path):
    """The reason why 3MF is read by our own reader: trimesh gives the box for the beams in it."""
    trimesh = pytest.importorskip("trimesh")
    beams = thing(mesh(BEAMS))
    path = package(tmp_path / "a.3mf", model(beams, asking("b", BEAM)))
    taken = trimesh.load_scene(path)
    assert sum(abs(each.volume) for each in taken.dump()) == pytest.approx(VOLUME)
    assert "beam lattices" in refusal(capsys, path)
