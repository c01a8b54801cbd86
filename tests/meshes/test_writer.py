"""What is written is read again, by us and by a library that is not ours."""

import io
import zipfile
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from tests.core.estimating.solids import box, moved, sphere, tube

from printcrib.core.shapes import Mesh, extents_of
from printcrib.meshes.reading import read_model
from printcrib.meshes.writer import ModelWriter, write_3mf, write_stl


def test_stl_comes_back() -> None:
    mesh = sphere(20, 24, 16)
    model = read_model(write_stl(mesh), "ball.stl")
    assert len(model.mesh.faces) == len(mesh.faces)
    assert extents_of(model.mesh) == pytest.approx(extents_of(mesh), rel=1e-6)
    assert ModelWriter().stl(mesh) == write_stl(mesh)


def test_stl_of_a_collapsed_triangle_has_no_normal() -> None:
    mesh = Mesh(box().vertices, np.array([[0, 1, 1], [0, 2, 1]]))
    normals = np.frombuffer(write_stl(mesh)[84:], "<f4").size
    assert normals == 25
    assert np.isfinite(np.frombuffer(write_stl(mesh)[84:96], "<f4")).all()


def test_copies_stand_where_they_were_put() -> None:
    stop, ring = moved(box(40, 30, 20), -7, 3, -9), tube(10, 6, 12, 32)
    written = write_3mf([("stop", stop, (5, 5)), ("stop", stop, (50, 5)), ("ring <A & B>", ring, (5, 60.5))])
    model = read_model(written, "run.3mf")
    low, high = model.mesh.vertices.min(axis=0), model.mesh.vertices.max(axis=0)
    assert low == pytest.approx((5, 5, 0), abs=1e-4)
    assert high == pytest.approx((90, 80.5, 20), abs=1e-4)
    assert model.facts.volume_cm3 == pytest.approx(48 + read_model(write_stl(ring), "r.stl").facts.volume_cm3)
    assert model.facts.findings == ()


def test_a_mesh_given_twice_is_written_once() -> None:
    stop = box()
    written = write_3mf([("stop", stop, (0, 0)), ("stop", Mesh(stop.vertices.copy(), stop.faces), (60, 0))])
    with zipfile.ZipFile(io.BytesIO(written)) as package:
        assert package.testzip() is None
        root = ElementTree.fromstring(package.read("3D/3dmodel.model"))
    spaces = {"m": "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"}
    assert root.get("unit") == "millimeter"
    assert len(root.findall("m:resources/m:object", spaces)) == 1
    assert len(root.findall("m:build/m:item", spaces)) == 2


def test_the_same_platform_gives_the_same_bytes() -> None:
    items = (("stop", box(), (0.0, 0.0)), ("ball", sphere(9, 12, 8), (60.0, 0.0)))
    assert write_3mf(items) == ModelWriter().one_3mf(items)


def test_names_cannot_break_the_file() -> None:
    written = write_3mf([('"/><x>\x00\n', box(), (0, 0))])
    assert read_model(written, "a.3mf").facts.volume_cm3 == pytest.approx(24)


def test_another_reader_agrees() -> None:
    import trimesh

    scene: Any = trimesh.load(
        io.BytesIO(write_3mf([("stop", box(), (5, 5)), ("ball", sphere(9), (60, 5))])), file_type="3mf"
    )
    assert scene.bounds == pytest.approx(np.array([[5, 5, 0], [78, 35, 20]]), abs=1e-3)
    solid: Any = trimesh.load(io.BytesIO(write_stl(sphere(9))), file_type="stl")
    assert solid.is_watertight
    assert solid.volume == pytest.approx(
        read_model(write_stl(sphere(9)), "b.stl").facts.volume_cm3 * 1000, rel=1e-6
    )
