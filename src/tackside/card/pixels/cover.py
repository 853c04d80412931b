"""How much of each pixel a shape hides: glyphs by HarfBuzz, straight-edged shapes by their edges' half planes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import uharfbuzz
from numpy.typing import ArrayLike, NDArray

from tackside.card.layout.layout import CardFace
from tackside.card.layout.placed import GlyphRun, PlacedCode, PlacedRule, Rgb
from tackside.card.layout.texts import PlacedText
from tackside.sheet.canvas import half_plane_cover
from tackside.units import MM_PER_POINT, Box

# (2, 3): a place on the sheet in mm, x right and y down, to pixels; pixel (0, 0) covers 0 to 1.
Affine = NDArray[np.float64]
BAND_ROWS = 256  # of a large shape worked at once, so that no floating-point image of a whole sheet is held


@dataclass(frozen=True, eq=False)
class Cover:
    """``share`` (h, w) uint8: 255 hides all. ``left`` and ``top`` place it in the sheet's pixels."""

    left: int
    top: int
    share: NDArray[np.uint8]
    rgb: Rgb


def moved(points: ArrayLike, to_px: Affine) -> NDArray[np.float64]:
    """Points (n, 2) through an affine map (2, 3)."""
    return np.asarray(points, dtype=np.float64) @ to_px[:, :2].T + to_px[:, 2]


def corners(box: Box) -> NDArray[np.float64]:
    """The four corners of a box, clockwise from the top left, (4, 2)."""
    return np.array([(box.x, box.y), (box.right, box.y), (box.right, box.bottom), (box.x, box.bottom)])


def laid_over(face: CardFace, to_px: Affine, size_px: tuple[int, int]) -> Iterator[Cover]:
    """What is drawn over a face's pictures: codes, type, rules, in that order. ``size_px`` is the sheet's."""
    for code in face.codes:
        yield from _code(code, to_px, size_px)
    for text in face.texts:
        for run in text.runs:
            yield from _run(text, run, to_px, size_px)
    for rule in face.rules:
        yield from quad(_rule_corners(rule), rule.rgb, to_px, size_px)


def quad(points_mm: ArrayLike, rgb: Rgb, to_px: Affine, size_px: tuple[int, int]) -> Iterator[Cover]:
    """A four-cornered shape, its corners (4, 2) clockwise in mm, opposite edges parallel."""
    corners_px = moved(points_mm, to_px)
    window = _window(corners_px, size_px)
    if window:
        left, top, width, height = window
        yield Cover(left, top, _quad_share(corners_px - (left, top), width, height), rgb)


def _quad_share(points: NDArray[np.float64], width: int, height: int) -> NDArray[np.uint8]:
    bands = []
    for start in range(0, height, BAND_ROWS):
        rows = min(BAND_ROWS, height - start)
        bands.append(np.rint(_parallelogram(points - (0, start), (rows, width)) * 255).astype(np.uint8))
    return np.concatenate(bands)


def _parallelogram(points: NDArray[np.float64], shape: tuple[int, int]) -> NDArray[np.float32]:
    """Share of each pixel, exact where no corner lies in it: of two opposite edges each hides a half plane."""
    sides = []
    for index in range(4):
        start, end = points[index], points[(index + 1) % 4]
        outward = (end[1] - start[1], start[0] - end[0])  # clockwise with y downwards
        sides.append(half_plane_cover(shape, (start[0], start[1]), outward))
    one, other = sides[0] + sides[2] - 1, sides[1] + sides[3] - 1
    return np.asarray(np.clip(one, 0, 1) * np.clip(other, 0, 1), dtype=np.float32)


def _rule_corners(rule: PlacedRule) -> NDArray[np.float64]:
    start, end = np.array(rule.start), np.array(rule.end)
    along = (end - start) / np.hypot(*(end - start))
    side = np.array([-along[1], along[0]]) * rule.width_mm / 2
    return np.array([start - side, end - side, end + side, start + side])


def _code(code: PlacedCode, to_px: Affine, size_px: tuple[int, int]) -> Iterator[Cover]:
    if code.ground is not None:
        yield from quad(corners(code.ground_mm), code.ground, to_px, size_px)
    window = _window(moved(corners(code.box_mm), to_px), size_px)
    if not window:
        return
    left, top, width, height = window
    share = np.zeros((height, width))
    for box in code.dark_runs():
        for part in quad(corners(box), code.rgb, to_px, size_px):
            y, x = part.top - top, part.left - left
            share[y : y + part.share.shape[0], x : x + part.share.shape[1]] += part.share
    yield Cover(left, top, np.minimum(share, 255).astype(np.uint8), code.rgb)


def _run(text: PlacedText, run: GlyphRun, to_px: Affine, size_px: tuple[int, int]) -> Iterator[Cover]:
    """A run of type drawn by its outlines: exact coverage, non-zero winding."""
    pen = uharfbuzz.RasterDraw()
    em = run.size_pt * MM_PER_POINT / run.font.per_em
    # The upright panel's own right and down on the sheet; outlines have y upwards, HarfBuzz' image too.
    zero, right, down = (np.array(text.frame.point_on_sheet(*at)) for at in ((0, 0), (1, 0), (0, 1)))
    axes = to_px[:, :2] @ np.column_stack([right - zero, down - zero]) * em
    for glyph in run.glyphs:
        x, y = moved([text.frame.point_on_sheet(glyph.x_mm, glyph.y_mm)], to_px)[0]
        pen.transform = (axes[0, 0], -axes[1, 0], -axes[0, 1], axes[1, 1], x, -y)
        pen.draw_glyph(run.font.shaper, glyph.gid)
    image = pen.render()
    extents = image.extents
    if not extents.width or not extents.height:
        return
    stored = np.frombuffer(bytes(image.buffer), np.uint8).reshape(extents.height, extents.stride)
    share = stored[::-1, : extents.width]  # its rows run upwards
    yield from _cut(extents.x_origin, -(extents.y_origin + extents.height), share, run.rgb, size_px)


def _cut(
    left: int, top: int, share: NDArray[np.uint8], rgb: Rgb, size_px: tuple[int, int]
) -> Iterator[Cover]:
    """A cover with what lies past the sheet cut off."""
    x, y = max(left, 0), max(top, 0)
    part = share[y - top : size_px[1] - top, x - left : size_px[0] - left]
    if part.size:
        yield Cover(x, y, np.ascontiguousarray(part), rgb)


def _window(points: NDArray[np.float64], size_px: Sequence[int]) -> tuple[int, int, int, int] | None:
    """Left, top, width, height of the whole pixels that points reach into, on the sheet; None where none."""
    left, top = (max(math.floor(low), 0) for low in points.min(axis=0) + 1e-6)
    right, bottom = (
        min(math.ceil(high), most) for high, most in zip(points.max(axis=0) - 1e-6, size_px, strict=True)
    )
    return (left, top, right - left, bottom - top) if right > left and bottom > top else None
