"""The job that readies a gamut to be turned by hand: surfaces, what lies inside on a lattice, a picture's colours, and
the figures and drawings that stand for them where nothing can be turned.
"""

from __future__ import annotations

import gzip
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tackside.bench.store import Bench
from tackside.colour.spaces import Floats
from tackside.files.atomic import write_atomically
from tackside.picture.file.colours import cell_lab, colours_of
from tackside.picture.found_reading import reading_of
from tackside.picture.proof.held import held_of
from tackside.profile.gamut.gamut_device import (
    SPACE_NAMES,
    SPACES,
    UNLIKE,
    Basis,
    GamutDevice,
    gamut_of_profile,
    gamut_of_reading,
    gamut_of_space,
    working_solid,
)
from tackside.profile.gamut.gamut_solid import GamutSolid, Outside, Share
from tackside.profile.icc.files import read_profile_file
from tackside.report.plots.slices import slices_drawing, slices_of
from tackside.report.plots.solid import solid_drawing
from tackside.web.forms.queries.gamut_query import FORM, GamutAsked, whose
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out, under_their_names
from tackside.web.shell.artifacts import place_of, preparing, tell

ROOM = "gamuts"
STEP = 1 / 128  # of CIELAB, in 16 bits: to ±256
LEVELS = (10, 20, 30, 40, 50, 60, 70, 80, 90)
MOST_POINTS = 6000
TURN_DEG = 150.0  # as the drawing's
DRAWN_SIDE = 8  # most people never see the drawings, so they are to weigh little
PLACES_OF_LATTICE = 16_000_000  # a texture that any WebGL 2 takes with ease


def prepare(task: Task) -> dict[str, Any]:
    """Asked: the parts of a ``GamutAsked``. Result: the same."""
    asked = GamutAsked(**task.asked)
    task.tell(0.1, "working out the colours")
    make(task, asked)
    return asdict(asked)


def make(task: Task, asked: GamutAsked) -> None:
    """Write what a gamut's page needs. Raises NotFound, BadRequest, BadProfile, BadImage."""
    place = place_of(task.cache, ROOM, asked.key(task.bench))
    one = device_of(task.bench, asked.of)
    other = device_of(task.bench, asked.against) if asked.against else None
    with preparing(place) as making:
        about: dict[str, Any] = {"one": _written(making, "one", one, asked.basis)}
        about["other"] = None if other is None else _written(making, "other", other, asked.basis)
        about |= _compared(one, other, asked.basis)
        about["picture"] = _picture(task, making, asked, one) if asked.picture else None
        about["basis"] = asked.basis
        tell(making, FORM, about)


def device_of(bench: Bench, named: str) -> GamutDevice:
    """Raises NotFound, BadRequest, BadProfile."""
    found = whose(named)
    if found.kind == "space":
        return gamut_of_space(found.key)
    if found.kind == "profile":
        kept = bench.profiles.get(found.key)
        return gamut_of_profile(kept.name, read_profile_file(bench.file(found.key)))
    reading = reading_of(bench, found.key)
    return gamut_of_reading(reading.reading, reading.plan, reading.title, through_path=reading.through_path)


def _written(folder: Path, name: str, device: GamutDevice, basis: Basis) -> dict[str, Any]:
    """Write a solid's files; what is told of it."""
    solid = device.seen(basis)
    points, faces = solid.surface
    vertices = np.rint(np.clip(points, -255.9, 255.9) / STEP).astype("<i2")
    write_atomically(folder / f"{name}.bin", vertices.tobytes() + faces.astype("<u2").tobytes())
    packed, size, origin, pitch = _lattice(solid)
    write_atomically(folder / f"{name}-inside.bin", packed)
    return {
        "name": device.name,
        "kind": device.kind,
        "source": device.basis,
        "volume": device.solid.volume,
        "volume_relative": device.relative_solid.volume,
        "method": solid.method,
        "white_lab": [float(each) for each in device.white_lab],
        "black_lab": [float(each) for each in device.black_lab],
        "areas": [_area(solid, level) for level in LEVELS],
        "vertices": len(points),
        "triangles": len(faces),
        "nodes": int(solid.grids[0].shape[0]),
        "lattice": {"size": size, "origin": origin, "pitch": pitch},
        "drawing": solid_drawing(solid, TURN_DEG, device.name, most_side=DRAWN_SIDE),
        "slices": slices_drawing(slices_of(solid)),
    }


def _lattice(solid: GamutSolid) -> tuple[bytes, list[int], list[int], float]:
    """The lattice as compressed bits, b* quickest; its size, origin and pitch. Coarser where it is vast."""
    filled, origin, pitch = solid.lattice.filled, solid.lattice.origin, solid.lattice.pitch
    step = 1
    while filled[::step, ::step, ::step].size > PLACES_OF_LATTICE:
        step += 1
    thinned = filled[::step, ::step, ::step]
    bits = np.packbits(thinned, axis=-1, bitorder="little").tobytes()
    return (
        gzip.compress(bits, 6, mtime=0), list(thinned.shape), [int(each) for each in origin], pitch * step,
    )  # fmt: skip


def _area(solid: GamutSolid, level: int) -> float:
    """Of the a*b* plane at one lightness, square CIELAB units."""
    lattice = solid.lattice
    layer = round(level / lattice.pitch) - int(lattice.origin[0])
    if not 0 <= layer < lattice.filled.shape[0]:
        return 0.0
    return float(np.count_nonzero(lattice.filled[layer])) * lattice.pitch**2


def _compared(one: GamutDevice, other: GamutDevice | None, basis: Basis) -> dict[str, Any]:
    """Shares of volume: of the working spaces that each holds, and of each other."""
    notices = list(one.notices)
    told: dict[str, Any] = {"covers": {}, "holds_other": None, "held_by_other": None}
    for name, space in SPACES.items():
        held = [each.seen(basis).covers(working_solid(space)) for each in (one, other) if each is not None]
        told["covers"][name] = {"name": SPACE_NAMES[name], "shares": [_share(each) for each in held]}
    if other is not None:
        notices += other.notices
        if one.compares_with(other):
            told["holds_other"] = _share(one.seen(basis).covers(other.seen(basis)))
            told["held_by_other"] = _share(other.seen(basis).covers(one.seen(basis)))
        else:
            notices.append(UNLIKE)
    return {**told, "notices": list(dict.fromkeys(notices))}


def _share(share: Share) -> dict[str, float]:
    return {"share": share.share, "sd": share.sd}


def _picture(task: Task, folder: Path, asked: GamutAsked, device: GamutDevice) -> dict[str, Any]:
    """A picture's colours as points, and what part of it falls outside."""
    name = task.bench.file_name(asked.picture)
    laid = lay_out(task, [asked.picture])
    with under_their_names(laid, [name]):
        held = held_of(laid[0], device, asked.basis)
        colours = colours_of(laid[0])
    lab = cell_lab(colours.space)[colours.cells]
    points = _points(lab, colours.weights, device.seen(asked.basis))
    write_atomically(folder / "points.bin", points.tobytes())
    return {
        "name": name,
        "sha256": asked.picture,
        "points": len(points),
        "outside": _outside(held.outside),
        "compensated": None if held.compensated is None else _outside(held.compensated),
    }


POINT = np.dtype([("lab", "<i2", 3), ("outside", "u1"), ("size", "u1")])


def _points(lab: Floats, weights: Floats, solid: GamutSolid) -> NDArray[Any]:
    """The commonest colours: place, whether outside (1) and size, the square root of the share, 255 for the largest."""
    most = np.argsort(-weights, kind="stable")[:MOST_POINTS]
    found = np.zeros(len(most), dtype=POINT)
    found["lab"] = np.rint(np.clip(lab[most], -255.9, 255.9) / STEP)
    found["outside"] = solid.lies_outside(lab[most])
    found["size"] = np.rint(255 * np.sqrt(weights[most] / weights[most].max()))
    return found


def _outside(found: Outside) -> dict[str, float | None]:
    return {"share": found.share, "median": found.median, "p95": found.p95}
