"""The convex hull of colours: its volume, the slope of that by each point, its planes.

The slopes (the derivative of the volume by each point's coordinates) carry noise on the points to the volume. The hull
of a few hundred points is found with nothing but arrays, as SciPy's takes 0.2 s to load.

Points are added from the outermost inwards; the faces that a point sees give way to a cone from it to their rim.
What comes out is looked through: closed, and no point outside. Where rounding makes that fail there is no answer, and
another has to be asked.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats

MOST_POINTS = 2000
FLAT = 1e-9  # of the points' extent: nearer to a face than this is in it

Faces = NDArray[np.intp]


def hull_volume_and_slopes(points: Floats) -> tuple[float, Floats]:
    """Volume of the convex hull and its derivative by each point."""
    hull = _hull(points)
    slopes = np.zeros_like(points)
    if hull is None:
        return 0.0, slopes
    faces, _ = hull
    around = points - points.mean(axis=0)
    a, b, c = (around[faces[:, corner]] for corner in range(3))
    # A corner that moves sweeps a third of each face's area along its normal: area × n / 3 = cross / 6.
    by_corner = np.cross(b - a, c - a) / 6
    for corner in range(3):
        np.add.at(slopes, faces[:, corner], by_corner)
    return float(np.sum(by_corner * a)), slopes


def hull_planes(points: Floats) -> Floats | None:
    """The faces of the convex hull, (m, 4): a point x lies inside where n · x + d ≤ 0 for all; None for a flat hull."""
    hull = _hull(points)
    return None if hull is None else hull[1]


def _hull(points: Floats) -> tuple[Faces, Floats] | None:
    """Faces (m, 3), counter-clockwise from outside, and their planes (m, 4); None for a flat hull."""
    found = small_hull(points)
    if found is not None:
        return found
    if len(points) < 4:
        return None
    from scipy.spatial import ConvexHull, QhullError  # slow to import: only for what is many, flat or awkward

    try:
        hull = ConvexHull(points)
    except QhullError:  # all in one plane
        return None
    faces, planes = hull.simplices.astype(np.intp), np.asarray(hull.equations)
    normals = np.cross(points[faces[:, 1]] - points[faces[:, 0]], points[faces[:, 2]] - points[faces[:, 0]])
    inward = np.sum(normals * planes[:, :3], axis=1) < 0
    faces[inward] = faces[inward][:, ::-1]
    return faces, planes


def small_hull(points: Floats) -> tuple[Faces, Floats] | None:
    """Faces (m, 3) by their corners, counter-clockwise from outside, and their planes (m, 4): n · x + d ≤ 0 inside.

    None where ``points`` (n, 3) are flat, too many, not finite, or too awkward for this way.
    """
    values = np.ascontiguousarray(points, dtype=np.float64)
    if not 4 <= len(values) <= MOST_POINTS or not np.all(np.isfinite(values)):
        return None
    return _small(values.tobytes())  # the same colours are asked about by several measures of one print


@lru_cache(maxsize=8)
def _small(data: bytes) -> tuple[Faces, Floats] | None:
    points = np.frombuffer(data).reshape(-1, 3)
    flat = FLAT * float(np.ptp(points, axis=0).max())
    first = _first_solid(points, flat)
    if first is None:
        return None
    faces = np.array([np.roll(np.delete(first, out), 1 if out % 2 else 0) for out in range(4)])
    middle = points[first].mean(axis=0)
    planes = _planes(points, faces)
    inward = planes[:, :3] @ middle + planes[:, 3] > 0
    faces[inward] = faces[inward][:, ::-1]
    planes[inward] *= -1
    far = np.argsort(-np.linalg.norm(points - middle, axis=1), kind="stable")
    for number in far:
        seen = planes[:, :3] @ points[number] + planes[:, 3] > flat
        if not seen.any():
            continue
        rim = _rim(faces[seen].tolist())
        cone = np.array([(start, end, number) for start, end in rim], dtype=np.intp)
        faces = np.concatenate([faces[~seen], cone])
        planes = np.concatenate([planes[~seen], _planes(points, cone)])
    if not np.all(np.isfinite(planes)) or not _is_closed(faces):
        return None
    if np.any(points @ planes[:, :3].T + planes[:, 3] > 10 * flat):
        return None
    faces.flags.writeable = planes.flags.writeable = False
    return faces, planes


def _first_solid(points: Floats, flat: float) -> Faces | None:
    """Four points that span a solid: the ends of the longest axis, what is farthest from their line, then from the
    plane."""
    axis = int(np.argmax(np.ptp(points, axis=0)))
    one, two = int(np.argmin(points[:, axis])), int(np.argmax(points[:, axis]))
    along = points[two] - points[one]
    away = np.cross(points - points[one], along)
    three = int(np.argmax(np.sum(away**2, axis=1)))
    normal = np.cross(along, points[three] - points[one])
    size = float(np.linalg.norm(normal))
    if size <= flat * flat:
        return None
    height = np.abs((points - points[one]) @ (normal / size))
    four = int(np.argmax(height))
    return None if height[four] <= flat else np.array([one, two, three, four])


def _planes(points: Floats, faces: Faces) -> Floats:
    """The planes (m, 4) of faces (m, 3), by the right hand; not finite where a face has no area."""
    a, b, c = points[faces[:, 0]], points[faces[:, 1]], points[faces[:, 2]]
    u, v = b - a, c - a
    normals = np.empty_like(a)  # a product spelled out: NumPy's takes most of the time on a handful of faces
    normals[:, 0] = u[:, 1] * v[:, 2] - u[:, 2] * v[:, 1]
    normals[:, 1] = u[:, 2] * v[:, 0] - u[:, 0] * v[:, 2]
    normals[:, 2] = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        normals /= np.sqrt((normals * normals).sum(axis=1))[:, None]
    return np.column_stack([normals, -(normals * a).sum(axis=1)])


def _edges(faces: Iterable[list[int]]) -> list[tuple[int, int]]:
    return [edge for a, b, c in faces for edge in pairwise((a, b, c, a))]


def _rim(faces: list[list[int]]) -> list[tuple[int, int]]:
    """The edges of a patch of faces that only one of them has, in its direction."""
    edges = set(_edges(faces))
    return [(start, end) for start, end in edges if (end, start) not in edges]


def _is_closed(faces: Faces) -> bool:
    """Whether each edge belongs to two faces, once in each direction, and the whole to one ball (Euler)."""
    edges = _edges(faces.tolist())
    known = set(edges)
    corners = len(np.unique(faces))
    return (
        len(known) == len(edges)
        and all((end, start) in known for start, end in edges)
        and len(faces) == 2 * corners - 4
    )
