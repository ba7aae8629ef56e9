"""Made-up mesh files and lamp files, whole ones and spoilt ones."""

from __future__ import annotations

import io
import json
import math
from random import Random

import numpy as np
import trimesh

from tests.fuzz.spoil import bytes_gone_wrong

ENDINGS = ("stl", "obj", "ply", "glb")


def mesh_file(r: Random) -> tuple[str, bytes]:
    """The ending and the bytes of a mesh file; degenerate or spoilt more often than not."""
    ending = r.choice(ENDINGS)
    corners, triangles = _body(r)
    way = r.random()
    if way < 0.1:  # corners that fall together, or nearly
        a, b = r.randrange(len(corners)), r.randrange(len(corners))
        corners[a] = corners[b] + r.choice([0.0, 1e-12, 1e-7, 1e-5])
    elif way < 0.2:  # as flat as a sheet of paper, or flatter
        corners[:, r.randrange(3)] *= r.choice([0.0, 1e-12, 1e-6, 1e-3])
    elif way < 0.3:
        corners *= r.choice([1e-30, 1e-6, 1e6, 1e30])
    elif way < 0.35:
        corners[r.randrange(len(corners)), r.randrange(3)] = r.choice([np.nan, np.inf, 1e38])
    elif way < 0.45:  # the same body twice in one place
        triangles = np.concatenate([triangles, triangles + len(corners)])
        corners = np.concatenate([corners, corners * r.choice([1.0, 1.0 + 1e-9, 0.5])])
    elif way < 0.55:
        triangles = triangles[r.randrange(len(triangles)) :]
    elif way < 0.6:
        triangles = triangles[:, ::-1]
    with np.errstate(all="ignore"):
        mesh = trimesh.Trimesh(corners, triangles, process=False)
        made = mesh.export(file_type=ending)
    data = made.encode() if isinstance(made, str) else bytes(made)
    if r.random() < 0.2:
        data = _naming_others(r, ending, data)
    if r.random() < 0.4:
        data = bytes_gone_wrong(r, data)
    return ending, data


def _body(r: Random) -> tuple[np.ndarray, np.ndarray]:
    made = r.choice(
        [
            lambda: trimesh.creation.box((1.0, 2.0, r.choice([0.01, 3.0]))),
            lambda: trimesh.creation.icosphere(subdivisions=r.choice([0, 1]), radius=1.0),
            lambda: trimesh.creation.cylinder(1.0, 2.0, sections=r.choice([3, 7, 24])),
            lambda: trimesh.creation.cone(1.0, r.choice([0.05, 2.0]), sections=5),
            lambda: trimesh.creation.annulus(0.5, 1.0, 1.0, sections=6),
        ]
    )()
    size = r.choice([20.0, 100.0, 300.0])
    return np.array(made.vertices, float) * size, np.array(made.faces)


def _naming_others(r: Random, ending: str, data: bytes) -> bytes:
    """The file with the name of another in it, which no reader may open."""
    other = r.choice(["/etc/passwd", "../secret.bin", "http://127.0.0.1:9/x", "/dev/zero", "pipe"])
    if ending == "obj":
        return f"mtllib {other}\nusemtl quince\n".encode() + data
    if ending == "ply":
        return data.replace(b"ply\n", f"ply\ncomment TextureFile {other}\n".encode(), 1)
    if ending == "glb":
        length = int.from_bytes(data[12:16], "little")
        header = json.loads(data[20 : 20 + length])
        if r.random() < 0.5:
            header["buffers"][0]["uri"] = other
        else:
            header["images"] = [{"uri": other}]
            header["textures"] = [{"source": 0}]
        text = json.dumps(header).encode()
        text += b" " * (-len(text) % 4)
        rest = data[20 + length :]
        start = data[:8] + (20 + len(text) + len(rest)).to_bytes(4, "little")
        return start + len(text).to_bytes(4, "little") + data[16:20] + text + rest
    return data


def lamp_file(r: Random) -> bytes:
    """A lamp file: measured on few or many planes; spoilt more often than not."""
    out = io.StringIO()
    out.write(r.choice(["IESNA:LM-63-2002", "IES:LM-63-2019", "IESNA91", "made up"]) + "\n")
    if r.random() < 0.5:
        out.write("[TEST] quince\n[LAMP] \x1b[31mred\n")
    tilted = r.random() < 0.2
    out.write("TILT=INCLUDE\n1\n3\n0 90 180\n1 0.5 0\n" if tilted else "TILT=NONE\n")
    last = r.choice([10.0, 90.0, 90.0, 180.0])
    vertical = np.linspace(0.0, last, r.choice([2, 3, 19, 91]))
    horizontal = np.array(
        r.choice([[0.0], [0.0, 90.0], [0.0, 90.0, 180.0], list(np.linspace(0, 360, 9))])
    )
    factor = r.choice(["1", "1", "1e-9", "1e6", "0", "-1", "1e12"])
    out.write(f"1 1000 {factor} {len(vertical)} {len(horizontal)} 1 2 0 0 0\n1 1 100\n")
    width = r.choice([0.5, 5.0, 40.0, 1e3])
    for angles in (vertical, horizontal):
        out.write(" ".join(f"{angle:.3f}" for angle in angles) + "\n")
    for _ in horizontal:
        bright = r.choice([0.0, 1.0, 1000.0, 1e12])
        values = (bright * math.exp(-((angle / width) ** 2)) for angle in vertical)
        out.write(" ".join(f"{value:.6g}" for value in values) + "\n")
    data = out.getvalue().encode("latin-1")
    return bytes_gone_wrong(r, data) if r.random() < 0.5 else data
