"""3MF: units by name, every transform, only what is built, and nothing that bites."""

from __future__ import annotations

import struct
import time
import zipfile
from io import BytesIO

import numpy as np
import pytest

from moldvol.geometry.reading import ReadingLimits
from moldvol.geometry.reading.threemf import DEEPEST
from moldvol.geometry.units import MM_PER_UNIT
from tests.files import CUBE_VERTICES, mesh_xml, model_xml, object_xml, relationships, threemf, zipped
from tests.geometry.reading.results import area, codes, read, read_on_disk, refusal, volume, whole

NAME = "part.3mf"
ONE = CUBE_VERTICES / 20
SHIFT = "1 0 0 0 1 0 0 0 1 10 0 0"


def volume_mm3(file) -> float:
    return volume(file) * MM_PER_UNIT[file.unit] ** 3


def test_millimetres_where_no_unit_is_given(tmp_path):
    for file in (read(threemf(), NAME), read_on_disk(tmp_path, threemf(), NAME)):
        assert (file.format, file.unit, file.welded, file.notices) == ("3mf", "mm", False, ())
        assert volume(file) == pytest.approx(8000)
        assert area(file) == pytest.approx(2400)


@pytest.mark.parametrize(
    ("unit", "canonical", "side", "expected_mm3"),
    [
        ("micron", "um", 20_000, 8000),
        ("millimeter", "mm", 20, 8000),
        ("centimeter", "cm", 2, 8000),
        ("inch", "in", 1, 25.4**3),
        ("foot", "ft", 0.1, 30.48**3),
        ("meter", "m", 0.02, 8000),
    ],
)
def test_units_by_name(unit, canonical, side, expected_mm3):
    model = model_xml(object_xml(1, mesh_xml(ONE * side)), attributes=f'unit="{unit}"')
    file = read(threemf(model), NAME)
    assert file.unit == canonical
    assert volume_mm3(file) == pytest.approx(expected_mm3, rel=1e-9)


def test_an_unknown_unit_is_refused():
    error = refusal(threemf(model_xml(attributes='unit="furlong"')), NAME)
    assert "gives 'furlong' as its unit, which is none of micron, millimeter" in str(error)


def test_spacing_is_in_the_unit_too():
    build = f'<item objectid="1"/><item objectid="1" transform="{SHIFT}"/>'
    file = read(threemf(model_xml(object_xml(1, mesh_xml(ONE)), build, 'unit="inch"')), NAME)
    assert np.ptp(whole(file).vertices, axis=0).tolist() == [11, 1, 1]


def test_one_object_twice_is_two_parts():
    build = '<item objectid="1"/><item objectid="1" transform="1 0 0 0 1 0 0 0 1 50 0 0"/>'
    file = read(threemf(model_xml(object_xml(1, attributes='name="arm"'), build)), NAME)
    assert [part.name for part in file.parts] == ["arm", "arm"]
    assert volume(file) == pytest.approx(16000)


@pytest.mark.parametrize(
    ("transform", "expected"),
    [("2 0 0 0 2 0 0 0 2 0 0 0", 64000), ("-1 0 0 0 1 0 0 0 1 0 0 0", 8000), ("0 1 0 -1 0 0 0 0 1 5 6 7", 8000)],
)
def test_items_are_scaled_mirrored_and_turned(transform, expected):
    file = read(threemf(model_xml(build=f'<item objectid="1" transform="{transform}"/>')), NAME)
    assert volume(file) == pytest.approx(expected)  # positive when mirrored too


def test_transforms_go_down_the_components_in_order():
    # Scaled by two inside, then moved by 10 outside: from 10 to 50, not from 20 to 60.
    inner = '<components><component objectid="1" transform="2 0 0 0 2 0 0 0 2 0 0 0"/></components>'
    objects = object_xml(1) + object_xml(2, inner)
    file = read(threemf(model_xml(objects, f'<item objectid="2" transform="{SHIFT}"/>')), NAME)
    assert whole(file).bounds[:, 0].tolist() == [10, 50]


def test_a_component_twice_counts_twice():
    inner = f'<components><component objectid="1"/><component objectid="1" transform="{SHIFT}"/></components>'
    file = read(threemf(model_xml(object_xml(1) + object_xml(2, inner), '<item objectid="2"/>')), NAME)
    assert (len(file.parts), volume(file)) == (2, pytest.approx(16000))


def test_the_production_path_leads_to_another_document():
    outside = '<components><component p:path="/3D/Objects/o.model" objectid="7"/></components>'
    model = model_xml(object_xml(2, outside), '<item objectid="2"/>', 'requiredextensions="p"')
    other = model_xml(object_xml(7, attributes='name="wing"'), "")
    file = read(threemf(model, **{"3D__Objects__o_dot_model": other}), NAME)
    assert [part.name for part in file.parts] == ["wing"]
    assert volume(file) == pytest.approx(8000)


def test_a_document_in_another_unit_is_brought_to_that_of_the_root():
    model = model_xml(object_xml(2, '<components><component p:path="/3D/o.model" objectid="7"/></components>'),
                      '<item objectid="2"/>')  # fmt: skip
    other = model_xml(object_xml(7, mesh_xml(ONE)), "", 'unit="inch"')
    assert volume(read(threemf(model, **{"3D__o_dot_model": other}), NAME)) == pytest.approx(25.4**3)


def test_objects_outside_the_build_are_left_out_and_named():
    objects = object_xml(1) + object_xml(2, attributes='name="spare wing"')
    file = read(threemf(model_xml(objects)), NAME)
    assert volume(file) == pytest.approx(8000)
    assert codes(file) == ["not-built"]
    assert "1 object not in its build; left out: spare wing." in file.notices[0].message


@pytest.mark.parametrize("kind", ["support", "solidsupport", "other"])
def test_supports_and_others_are_left_out(kind):
    objects = object_xml(1) + object_xml(2, attributes=f'type="{kind}"')
    file = read(threemf(model_xml(objects, '<item objectid="1"/><item objectid="2"/>')), NAME)
    assert volume(file) == pytest.approx(8000)
    assert codes(file) == ["left-out"]
    alone = threemf(model_xml(object_xml(2, attributes=f'type="{kind}"'), '<item objectid="2"/>'))
    assert "holds no triangles to build; has 1 object marked as" in str(refusal(alone, NAME))


@pytest.mark.parametrize("build", ["", '<item objectid="2"/>'])
def test_a_component_of_itself_is_refused(build):
    inner = '<components><component objectid="3"/></components>'
    back = '<components><component objectid="2"/></components>'
    objects = object_xml(2, inner) + object_xml(3, back) + object_xml(1)
    begun = time.perf_counter()
    if build:
        assert "that is a component of itself" in str(refusal(threemf(model_xml(objects, build)), NAME))
    else:
        assert volume(read(threemf(model_xml(objects, build)), NAME)) == pytest.approx(8000)
    assert time.perf_counter() - begun < 5


def test_components_that_double_and_double_are_refused():
    double = "<components>" + 2 * '<component objectid="{0}"/>' + "</components>"
    objects = object_xml(1) + "".join(object_xml(n + 1, double.format(n)) for n in range(1, 40))
    content = threemf(model_xml(objects, '<item objectid="40"/>'))
    assert "places more than 3,000 objects" in str(refusal(content, NAME, limits=ReadingLimits(placed_parts=3000)))
    small = ReadingLimits(placed_triangles=1000)
    assert "places more than 1,000 triangles" in str(refusal(content, NAME, limits=small))


def test_components_nested_too_deep_are_refused():
    objects = object_xml(1) + "".join(
        object_xml(n + 1, f'<components><component objectid="{n}"/></components>') for n in range(1, DEEPEST + 2)
    )
    content = threemf(model_xml(objects, f'<item objectid="{DEEPEST + 2}"/>'))
    assert f"nests components more than {DEEPEST} deep" in str(refusal(content, NAME))


def test_an_unknown_required_extension_is_refused():
    model = model_xml(attributes='xmlns:q="http://example.org/curves" requiredextensions="p q"')
    assert "requires the extension 'http://example.org/curves', which is not known here" in str(
        refusal(threemf(model), NAME)
    )


def test_beams_are_noted():
    lattice = '<b:beamlattice xmlns:b="http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02"/>'
    file = read(threemf(model_xml(object_xml(1, mesh_xml().replace("</mesh>", lattice + "</mesh>")))), NAME)
    assert codes(file) == ["beams"]


def test_an_empty_build_gives_all_objects_and_says_so():
    objects = object_xml(1) + object_xml(2, f'<components><component objectid="1" transform="{SHIFT}"/></components>')
    for model in (model_xml(objects, ""), model_xml(objects, "").replace("<build></build>", "")):
        file = read(threemf(model), NAME)
        assert codes(file) == ["empty-build"]
        assert volume(file) == pytest.approx(8000)  # object 1 stands only within object 2


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ('x="20"', 'x="2O"', "has a vertex with x = '2O'"),
        ('x="20"', 'x="20,5"', "use decimal points"),
        ('x="20" ', "", "has a vertex with no x"),
        ('v1="0"', 'v1="-1"', "asks for vertex -1 of 8"),
        ('v1="0"', 'v1="99"', "asks for vertex 99 of 8 (numbered from 0)"),
        ('v1="0"', 'v1="1.5"', "has a triangle with v1 = '1.5'"),
        ('v1="0"', 'v1="99999999999999999999"', "has a triangle with v1 = '999"),
        ('objectid="1"', 'objectid="5"', "places object 5, which is not in its"),
        ('<item objectid="1"/>', "<item/>", "has a placed object without objectid"),
        ('objectid="1"', 'objectid="1" transform="1 2 3"', "which is not twelve numbers"),
        ('objectid="1"', 'objectid="1" transform="1 0 0 0 1 0 0 0 0 0 0 0"', "which flattens what it places"),
        ('objectid="1"', 'objectid="1" p:path="/3D/gone.model"', "gone.model, which is not in its archive"),
        ('<object id="1" >', "<object>", "has an object without id"),
        ("</triangles>", "", "has broken XML on line 3"),
        ("<model ", "<modem ", "broken XML"),
        ('encoding="UTF-8"', 'encoding="UTF-77"', "broken XML"),
    ],
)
def test_each_fault_is_named(old, new, what):
    model = model_xml()
    assert old in model
    assert what in str(refusal(threemf(model.replace(old, new, 1)), NAME))


def test_another_document_root_is_refused():
    assert "has no model in its" in str(refusal(threemf("<html/>"), NAME))


@pytest.mark.parametrize(
    "declaration",
    [
        '<!DOCTYPE model [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;">]>',
        '<!DOCTYPE model SYSTEM "file:///etc/passwd">',
        '<!DOCTYPE model [<!ENTITY x SYSTEM "file:///etc/passwd">]>',
    ],
)
def test_document_types_and_entities_are_refused(declaration):
    model = model_xml().replace("?>\n", "?>\n" + declaration + "\n", 1)
    assert "declares a document type or entities, which 3MF forbids" in str(refusal(threemf(model), NAME))
    rels = relationships().replace("<Relationships", declaration + "<Relationships", 1)
    assert "forbids" in str(refusal(zipped({"_rels/.rels": rels, "3D/3dmodel.model": model_xml()}), NAME))


def bomb(megabytes: int) -> bytes:
    """A model of one line repeated: packs a thousand to one."""
    buffer = BytesIO()
    line = b"<!-- the same line again and again, as no program would write it -->\n" * 15_000
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        archive.writestr("_rels/.rels", relationships())
        with archive.open("3D/3dmodel.model", "w", force_zip64=True) as stream:
            head, tail = model_xml(object_xml(1, "<mesh><vertices>@</vertices></mesh>")).encode().split(b"@")
            stream.write(head)
            for _ in range(megabytes * 1_000_000 // len(line)):
                stream.write(line)
            stream.write(tail)
    return buffer.getvalue()


def test_a_file_that_unpacks_without_end_is_refused_early():
    begun = time.perf_counter()
    error = refusal(bomb(100), NAME)
    assert "unpacks to more than 200 times its size" in str(error)
    assert time.perf_counter() - begun < 20  # s; 20 of the 100 MB are unpacked


def test_the_limits_of_unpacking_can_be_moved():
    content = bomb(18)
    assert "without" not in str(refusal(content, NAME, limits=ReadingLimits(inflation_ratio=1e6)))
    assert "unpacks to more than 1 MB" in str(refusal(content, NAME, limits=ReadingLimits(inflated_bytes=1_000_000)))
    assert "holds no triangles" in str(refusal(content, NAME, limits=ReadingLimits(inflation_ratio=1e6)))


def test_sizes_that_the_archive_announces_are_not_believed():
    model = model_xml(object_xml(1, mesh_xml() + " " * 3_000_000))
    content = threemf(model)
    true_size = struct.pack("<I", len(model.encode()))
    assert content.count(true_size) == 2
    assert "damaged archive" in str(refusal(content.replace(true_size, struct.pack("<I", 1000)), NAME))


def test_entries_that_climb_out_are_only_names(tmp_path):
    content = threemf(**{"..__..__evil": b"x"})
    assert volume(read(content, NAME)) == pytest.approx(8000)
    model = model_xml(build='<item objectid="1" p:path="/../../3D/3dmodel.model"/>')
    assert volume(read(threemf(model), NAME)) == pytest.approx(8000)  # cannot rise above the archive's own root
    assert list(tmp_path.iterdir()) == []


def test_a_locked_archive_is_refused():
    content = bytearray(threemf())
    for signature, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        place = content.find(signature)
        while place >= 0:
            content[place + offset] |= 1
            place = content.find(signature, place + 1)
    assert "locked with a password" in str(refusal(bytes(content), NAME))


def test_an_entry_without_a_name_is_passed_over():
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("x", b"")
        archive.writestr("3D/3dmodel.model", model_xml())
        archive.infolist()[0].filename = ""  # only in the table of contents, as damage would leave it
    assert volume(read(buffer.getvalue(), NAME)) == pytest.approx(8000)


def test_too_many_entries_are_refused():
    content = zipped({f"n{i}": b"" for i in range(10_001)}, deflated=False)
    assert "an archive of 10,001 entries" in str(refusal(content, NAME))


def test_other_ways_of_packing_are_refused():
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("3D/3dmodel.model", model_xml())
    assert "packed in a way that 3MF does not allow" in str(refusal(buffer.getvalue(), NAME))


@pytest.mark.parametrize("entries", [{"readme.txt": b"hello"}, {"arm.stl": b"x"}])
def test_an_archive_without_a_model_is_refused(entries):
    error = refusal(zipped(entries), NAME)
    assert "is really a ZIP archive without a 3MF model" in str(error)
    assert ("arm.stl is in it" in str(error)) == ("arm.stl" in entries)


def test_an_archive_without_entries_is_refused():
    assert "without a 3MF model" in str(refusal(zipped({}), NAME))


@pytest.mark.parametrize("cut", [20, 200, 400])
def test_a_torn_archive_is_refused(cut):
    assert "damaged archive" in str(refusal(threemf()[:-cut], NAME))


def test_the_root_is_found_where_the_package_says():
    entries = {"_rels/.rels": relationships("/models/main%20part.model"), "models/main part.model": model_xml()}
    assert volume(read(zipped(entries), NAME)) == pytest.approx(8000)
    assert volume(read(zipped({"3D/3dmodel.model": model_xml()}), NAME)) == pytest.approx(8000)
    assert volume(read(zipped({"3d/3DModel.MODEL": model_xml()}), NAME)) == pytest.approx(8000)


def test_utf_16_models_are_read():
    model = model_xml().replace("UTF-8", "UTF-16").encode("utf-16")
    assert volume(read(zipped({"3D/3dmodel.model": model}), NAME)) == pytest.approx(8000)


@pytest.mark.parametrize("value", ["nan", "inf", "1e999"])
def test_what_is_no_usable_number_is_handed_on(value):
    build = f'<item objectid="1" transform="{SHIFT}"/>'
    file = read(threemf(model_xml(build=build).replace('x="20"', f'x="{value}"', 1)), NAME)
    assert not np.isfinite(whole(file).vertices).all()
    assert len(whole(file).faces) == 12
