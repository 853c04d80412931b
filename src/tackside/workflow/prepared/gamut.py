"""A gamut made ready to be turned by hand: surfaces, what lies inside on a lattice, a picture's colours, and the
figures and drawings that stand for them where nothing can be turned.
"""

from __future__ import annotations

import gzip
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tackside.bench.store import Bench
from tackside.colour.spaces import SRGB, WHITE_D50, Floats
from tackside.files.atomic import write_atomically
from tackside.messages.message import Message
from tackside.picture.file.colours import cell_lab, colours_of
from tackside.profile.gamut.gamut_device import SPACE_NAMES, Basis, GamutDevice
from tackside.profile.gamut.gamut_solid import GamutSolid, Outside, Share
from tackside.report.plots.slices import slices_drawing, slices_of
from tackside.report.plots.solid import solid_drawing
from tackside.tasks.artifacts import preparing, tell
from tackside.workflow.pictures.gamut import Compared, KeptGamut, compare_gamuts, gamut_kept, picture_in_gamut
from tackside.workflow.progress import Progress, unheard
from tackside.workflow.sent_files import SentFile, under_their_names

# What a screen draws Lab by: CIELAB's white, and the way from XYZ (D50) to linear sRGB, column by column.
SCREEN = {
    "white": [float(each) for each in WHITE_D50],
    "matrix": [float(each) for each in SRGB.from_xyz_d50.T.ravel()],
}
FORM = 2  # raised when the form of what is prepared changes
STEP = 1 / 128  # of CIELAB, in 16 bits: to ±256
LEVELS = (10, 20, 30, 40, 50, 60, 70, 80, 90)
MOST_POINTS = 6000
TURN_DEG = 150.0  # as the drawing's
DRAWN_SIDE = 8  # most people never see the drawings, so they are to weigh little
PLACES_OF_LATTICE = 16_000_000  # a texture that any WebGL 2 takes with ease


@dataclass(frozen=True)
class GamutPicture:
    """A kept picture to be held against a gamut."""

    sha256: str
    file: SentFile


def prepare_gamut(
    bench: Bench,
    place: Path,
    of: KeptGamut,
    against: KeptGamut | None = None,
    *,
    picture: GamutPicture | None = None,
    basis: Basis = "relative",
    progress: Progress = unheard,
) -> None:
    """Write what a gamut's page needs into ``place``. Raises NotFound, BadRequest, BadProfile, BadImage."""
    progress(0.1, Message("progress.working-out-colours"))
    one = gamut_kept(bench, of)
    other = None if against is None else gamut_kept(bench, against)
    with preparing(place) as making:
        about: dict[str, Any] = {"one": _written(making, "one", one, basis)}
        about["other"] = None if other is None else _written(making, "other", other, basis)
        about |= _compared(compare_gamuts(one, other, basis))
        about["picture"] = None if picture is None else _picture(making, picture, one, basis)
        about["basis"] = basis
        tell(making, FORM, about)


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


def _compared(found: Compared) -> dict[str, Any]:
    """Shares of volume: of the working spaces that each holds, and of each other."""
    shares = [found.covers, *([] if found.other is None else [found.other_covers()])]
    return {
        "covers": {
            name: {"name": SPACE_NAMES[name], "shares": [_share(each[name]) for each in shares]}
            for name in found.covers
        },
        "holds_other": None if found.holds_other is None else _share(found.holds_other),
        "held_by_other": None if found.held_by_other is None else _share(found.held_by_other),
        "notices": list(found.notices),
    }


def _share(share: Share) -> dict[str, float]:
    return {"share": share.share, "sd": share.sd}


def _picture(folder: Path, picture: GamutPicture, device: GamutDevice, basis: Basis) -> dict[str, Any]:
    """A picture's colours as points, and what part of it falls outside."""
    path = picture.file.path
    with under_their_names([picture.file]):
        held = picture_in_gamut(path, device, basis)
        colours = colours_of(path)
    lab = cell_lab(colours.space)[colours.cells]
    points = _points(lab, colours.weights, device.seen(basis))
    write_atomically(folder / "points.bin", points.tobytes())
    return {
        "name": picture.file.name,
        "sha256": picture.sha256,
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
