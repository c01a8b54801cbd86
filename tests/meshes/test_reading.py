"""Model files of every kind come out as the same solid, or are refused in one sentence."""

import io
import zipfile

import numpy as np
import pytest
from tests.core.estimating.solids import box, cylinder, sphere, together
from tests.meshes.files import (
    binary_stl,
    mesh_xml,
    model_xml,
    obj,
    package,
    simple_3mf,
    text_stl,
    threemf,
)

from printcrib.core.errors import ShopError
from printcrib.core.shapes import Mesh, signed_volume_mm3, turned_outside_out
from printcrib.meshes import limits
from printcrib.meshes.limits import shown_name
from printcrib.meshes.reading import read_model
from printcrib.meshes.stl import CHUNK_BYTES
from printcrib.meshes.welding import welded

BALL = sphere(20, 24, 16)
FILES = {
    "ball.stl": binary_stl(BALL),
    "text.STL": text_stl(BALL),
    "ball.obj": obj(BALL),
    "ball.3mf": simple_3mf(BALL),
    "misnamed.stl": simple_3mf(BALL),
    "tail.stl": binary_stl(BALL) + b"more after the end",
    "solid.stl": b"solid with a misleading header".ljust(80) + binary_stl(BALL)[80:],
}


@pytest.mark.parametrize("name", FILES)
def test_every_kind_gives_the_same_solid(name: str) -> None:
    model = read_model(FILES[name], name)
    assert len(model.mesh.vertices) == len(BALL.vertices)
    assert len(model.mesh.faces) == model.facts.triangles == len(BALL.faces)
    assert signed_volume_mm3(model.mesh) == pytest.approx(signed_volume_mm3(BALL), rel=1e-6)
    assert model.facts.findings == ()
    assert model.kind == ("3mf" if "3mf" in name or "misnamed" in name else name[-3:].lower())


def test_an_inside_out_file_is_turned_round_and_said() -> None:
    model = read_model(binary_stl(turned_outside_out(BALL)), "in.stl")
    assert signed_volume_mm3(model.mesh) > 0
    assert [finding.code for finding in model.facts.findings] == ["inside_out"]


OVERLAP = "Bodies overlap (25 % of their volume is there twice); they are counted as merged."
HOLLOW = "A closed hollow inside, printed empty. Correct as it is."
TURNED = "1 of 2 bodies faces inwards; turned round for the estimate."


@pytest.mark.parametrize(
    ("second", "cm3", "words"),
    [
        (box(20, 20, 20, at=(10, 0, 0)), 12, OVERLAP),
        (turned_outside_out(box(10, 10, 10, at=(5, 5, 5))), 7, HOLLOW),
        (turned_outside_out(box(10, 10, 10, at=(30, 0, 0))), 9, TURNED),
    ],
)
def test_several_bodies_are_told_apart(second: Mesh, cm3: float, words: str) -> None:
    facts = read_model(binary_stl(together(box(20, 20, 20), second)), "two.stl").facts
    assert facts.volume_cm3 == pytest.approx(cm3, rel=5e-3)
    assert [finding.words for finding in facts.findings] == [words]


def test_a_file_wholly_inside_out_with_a_hollow_is_turned_once() -> None:
    whole = turned_outside_out(together(box(20, 20, 20), turned_outside_out(box(10, 10, 10, at=(5, 5, 5)))))
    model = read_model(binary_stl(whole), "in.stl")
    assert signed_volume_mm3(model.mesh) == pytest.approx(7000)
    assert [finding.code for finding in model.facts.findings] == ["inside_out", "hollow"]


def test_text_longer_than_one_piece() -> None:
    filler = b" " * (CHUNK_BYTES + 100)
    text = text_stl(box())
    half = text.index(b"endfacet")
    long = text[:half] + filler + text[half:] + filler
    assert read_model(long, "long.stl").facts.volume_cm3 == pytest.approx(24)


OBJ_BOX = obj(box()).decode()


@pytest.mark.parametrize(
    "text",
    [
        OBJ_BOX.replace("f 1 3 2", "f 1/7/9 3//4 2/5"),
        OBJ_BOX.replace("f 1 3 2\nf 1 4 3", "f 1 4 3 2"),
        OBJ_BOX.replace("f 1 3 2", "f -8 -6 -7"),
        OBJ_BOX.replace("f 1 3 2", "f 1 \\\n 3 2"),
        OBJ_BOX.replace("v 40.0", "v   40.0").replace("\n", "\r\n\r\n"),
        OBJ_BOX + "l 1 2\nvn 0 0 1\nvt 0 0\np 1\ncurv 1 2\n",
    ],
)
def test_obj_as_people_write_it(text: str) -> None:
    facts = read_model(text.encode(), "box.obj").facts
    assert facts.volume_cm3 == pytest.approx(24)
    assert facts.findings == ()


@pytest.mark.parametrize(
    ("unit", "factor"), [("micron", 0.001), ("centimeter", 10), ("inch", 25.4), ("meter", 1000)]
)
def test_3mf_units(unit: str, factor: float) -> None:
    facts = read_model(simple_3mf(box(4, 3, 2), unit), "box.3mf").facts
    assert facts.extents_mm == pytest.approx((4 * factor, 3 * factor, 2 * factor))


def test_3mf_items_and_components_are_put_in_place() -> None:
    body = f'<object id="1">{mesh_xml(box(10, 10, 10))}</object>'
    pair = (
        '<object id="2"><components><component objectid="1"/>'
        '<component objectid="1" transform="1 0 0 0 1 0 0 0 1 20 0 0"/></components></object>'
    )
    support = f'<object id="3" type="support">{mesh_xml(box(90, 90, 90))}</object>'
    build = (
        '<item objectid="2" transform="2 0 0 0 2 0 0 0 2 0 0 5"/><item objectid="3"/>'
        '<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 -20 0 0"/>'
    )
    facts = read_model(threemf(model_xml(body + pair + support, build)), "pair.3mf").facts
    assert facts.volume_cm3 == pytest.approx(2 * 8 + 1)
    assert facts.extents_mm == pytest.approx((60 + 30, 20, 25))
    assert facts.findings == ()


def test_3mf_parts_in_other_files_of_the_package() -> None:
    other = model_xml(f'<object id="7">{mesh_xml(box(10, 10, 10))}</object>', "")
    root = model_xml(
        '<object id="1"><components><component p:path="/3D/Objects/part.model" objectid="7"/>'
        "</components></object>",
        '<item objectid="1"/>',
    )
    held = package({"3D/3dmodel.model": root, "3D/Objects/part.model": other})
    assert read_model(held, "production.3mf").facts.volume_cm3 == pytest.approx(1)


def test_3mf_without_a_build_takes_what_nothing_else_uses() -> None:
    body = f'<object id="1">{mesh_xml(box(10, 10, 10))}</object>'
    whole = '<object id="2"><components><component objectid="1"/></components></object>'
    assert read_model(threemf(model_xml(body + whole, "")), "a.3mf").facts.volume_cm3 == pytest.approx(1)


def test_broken_relations_fall_back_to_the_model_part() -> None:
    held = package(
        {"_rels/.rels": "<not", "3D/x.model": model_xml(f'<object id="1">{mesh_xml(box())}</object>', "")}
    )
    assert read_model(held, "a.3mf").facts.volume_cm3 == pytest.approx(24)


def nested(depth: int) -> str:
    body = f'<object id="0">{mesh_xml(box())}</object>'
    for number in range(1, depth):
        twice = f'<component objectid="{number - 1}"/>' * 2
        body += f'<object id="{number}"><components>{twice}</components></object>'
    return model_xml(body, f'<item objectid="{depth - 1}"/>')


def locked() -> bytes:
    held = bytearray(simple_3mf(box()))
    for marker, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = held.find(marker)
        while at >= 0:
            held[at + place] |= 1
            at = held.find(marker, at + 4)
    return bytes(held)


def declared_bomb() -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", b" " * 30_000_000)
    return held.getvalue()


LOOP = '<object id="1"><components><component objectid="1"/></components></object>'
BAD_INDEX = mesh_xml(Mesh(box().vertices, box().faces + 1))
NOT_NUMBERS = mesh_xml(box()).replace('x="40.0"', 'x="nan"', 1)
REFUSED = [
    ("none.stl", b"", "none.stl is empty. Export it again from the model."),
    ("none.stl", b"solid a\nendsolid a", "none.stl holds no triangles."),
    ("zero.stl", bytes(84), "zero.stl holds no triangles."),
    ("short.stl", b"abc", "short.stl is damaged or not what its name says."),
    (
        "cut.stl",
        binary_stl(BALL)[:-70],
        f"cut.stl is cut short: it holds {len(BALL.faces) - 2} of {len(BALL.faces)}",
    ),
    ("odd.stl", b"x" * 300, "odd.stl is damaged"),
    ("cut.stl", text_stl(box())[:130], "cut.stl is cut short within a triangle."),
    ("words.stl", text_stl(box()).replace(b"4.0000000e+01", b"forty"), "words.stl is damaged"),
    (
        "nan.stl",
        text_stl(box()).replace(b"4.0000000e+01", b"nan"),
        "nan.stl holds points that are not numbers.",
    ),
    ("flat.stl", binary_stl(box(40, 30, 0)), "flat.stl is flat, its height is 0 mm."),
    (
        "dots.stl",
        binary_stl(Mesh(box().vertices, np.array([[0, 0, 1], [2, 2, 6]]))),
        "dots.stl holds no triangles.",
    ),
    ("a.obj", b"v 0 0 0\nv 1 0\nf 1 1 1", "a.obj is damaged"),
    ("a.obj", b"v 0 0 0\nf 1 2 3", "a.obj is damaged"),
    ("a.obj", b"v 0 0 0\nf 0 0 -9", "a.obj is damaged"),
    ("a.obj", b"v 0 0 0\nf 1 x 3", "a.obj is damaged"),
    ("a.obj", b"# only words", "a.obj holds no triangles."),
    ("a.3mf", b"PK\x03\x04 nothing", "a.3mf is damaged"),
    ("a.3mf", b"text", "a.3mf is damaged"),
    ("a.3mf", package({"readme.txt": "no model"}), "a.3mf is damaged"),
    ("a.3mf", threemf("<html/>"), "a.3mf is damaged"),
    ("a.3mf", threemf(model_xml("", "")), "a.3mf holds no triangles."),
    ("a.3mf", threemf(model_xml("", '<item objectid="9"/>')), "a.3mf is damaged"),
    ("a.3mf", threemf(model_xml("", '<item objectid="9" p:path="/x.model"/>')), "a.3mf is damaged"),
    ("a.3mf", threemf(model_xml(LOOP, '<item objectid="1"/>')), "a.3mf is damaged"),
    ("a.3mf", threemf(model_xml(f'<object id="1">{BAD_INDEX}</object>', "")), "a.3mf is damaged"),
    (
        "a.3mf",
        threemf(model_xml(f'<object id="1">{NOT_NUMBERS}</object>', "")),
        "a.3mf holds points that are not",
    ),
    ("a.3mf", threemf(model_xml("<object/>", "")), "a.3mf is damaged"),
    ("a.3mf", threemf(model_xml("", "", unit="cubit")), "a.3mf is damaged"),
    (
        "a.3mf",
        threemf(model_xml("", "", extra="<!DOCTYPE model [<!ENTITY a 'b'>]>")),
        "a.3mf holds a document type",
    ),
    ("a.3mf", threemf(nested(30)), "a.3mf is damaged"),
    ("a.3mf", locked(), "a.3mf is locked with a password. Save it without one."),
    ("a.3mf", declared_bomb(), "a.3mf unpacks to more than 100 times its size."),
    ("a.3mf", package({f"{n}.txt": "" for n in range(2001)}), "a.3mf holds 2001 files"),
    ("a.dxf", b"0", "a.dxf is not a kind of model file this reads. Save it as STL, 3MF, OBJ or STEP."),
]


@pytest.mark.parametrize(("name", "content", "words"), REFUSED)
def test_refused_in_one_plain_sentence(name: str, content: bytes, words: str) -> None:
    with pytest.raises(ShopError) as refusal:
        read_model(content, name)
    assert str(refusal.value).startswith(words)
    assert refusal.value.do
    assert "\n" not in str(refusal.value)


def test_size_limits_speak_before_anything_is_unpacked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("printcrib.meshes.reading.MOST_FILE_BYTES", 1000)
    with pytest.raises(ShopError, match="more than the 128 MB read here"):
        read_model(bytes(1001), "huge.stl")
    monkeypatch.setattr("printcrib.meshes.threemf.MOST_UNPACKED_BYTES", 2000)
    monkeypatch.setattr("printcrib.meshes.reading.MOST_FILE_BYTES", limits.MOST_FILE_BYTES)
    with pytest.raises(ShopError, match=r"a.3mf unpacks to .* MB, more than is read here"):
        read_model(simple_3mf(BALL), "a.3mf")


def test_too_many_triangles(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("printcrib.meshes.threemf.MOST_TRIANGLES", 1000)
    with pytest.raises(ShopError, match="unfolds to more than 1,000 triangles"):
        read_model(threemf(nested(12)), "a.3mf")
    monkeypatch.setattr("printcrib.meshes.obj.MOST_TRIANGLES", 10)
    with pytest.raises(ShopError, match="holds more than 10 triangles"):
        read_model(obj(box()), "a.obj")


def test_nearly_meeting_corners_are_joined() -> None:
    chance = np.random.default_rng(3)
    mesh = cylinder(10, 20, 24)
    soup = mesh.vertices[mesh.faces].reshape(-1, 3)
    shaken = soup + chance.uniform(-2e-5, 2e-5, soup.shape)
    joined, _ = welded(shaken, np.arange(len(soup)).reshape(-1, 3))
    assert len(joined.vertices) == len(mesh.vertices)


def test_welding_keeps_an_open_surface_open() -> None:
    mesh = box()
    joined, faults = welded(mesh.vertices, mesh.faces[:-1])
    assert faults.open_edges == 3
    assert len(joined.faces) == 11
    assert len(joined.vertices) == 8


def test_zero_has_one_sign() -> None:
    mesh = box()
    soup = mesh.vertices[mesh.faces].reshape(-1, 3)
    soup[::2] = np.where(soup[::2] == 0, -0.0, soup[::2])
    assert len(welded(soup, np.arange(36).reshape(-1, 3))[0].vertices) == 8


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        ("C:\\jobs\\stop.stl", "stop.stl"),
        ("/home/a/stop.stl", "stop.stl"),
        ("a\nb\x1b.stl", "ab.stl"),
        ("", "the file"),
        ("x" * 200 + ".stl", "x" * 50 + "..." + "x" * 23 + ".stl"),
    ],
)
def test_names_in_sentences(given: str, shown: str) -> None:
    assert shown_name(given) == shown
