"""Tiles about a picture: how a room is cut between one large picture and as many small ones as fit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tackside.units import Box, Size

ASPECT = 4 / 3  # a tile's width to its height
# Smaller, and a tile shows no texture that the eye could judge at arm's length.
LEAST_W_MM = 14.5
MOST_W_MM = 34.0
CAPTION_MM = 2.3  # with the air under it
GAP_MM = 1.2
LEAST_REST = Size(44.0, 24.0)
_PLEASANT = (1.1, 3.0)  # of the large picture, width to height
_LEAST_SHARE = 0.36  # of the room, for the large picture


@dataclass(frozen=True)
class TileRoom:
    """What is left for the large picture, and the tiles, in reading order."""

    rest: Box
    tiles: tuple[Box, ...] = ()


def tile_room(area: Box, most: int) -> TileRoom:
    """The cut that shows most: many tiles, and not too small; one tile less is no loss where the others grow for it."""
    cuts = [cut for cut in _cuts(area, most) if _is_fair(cut.rest, area)]
    return max(cuts, key=_merit, default=TileRoom(area))


def _merit(cut: TileRoom) -> float:
    """The number of tiles times the root of their width; less where the large picture is a strip or stands upright."""
    lies_well = _PLEASANT[0] <= cut.rest.w / cut.rest.h <= _PLEASANT[1]
    return len(cut.tiles) * float(cut.tiles[0].w ** 0.5) * (1.0 if lies_well else 0.9)


def _is_fair(rest: Box, area: Box) -> bool:
    enough = rest.w >= LEAST_REST.w and rest.h >= LEAST_REST.h
    return enough and rest.w * rest.h >= _LEAST_SHARE * area.w * area.h


def _cuts(area: Box, most: int) -> Iterator[TileRoom]:
    for across in range(1, most + 1):
        for rows in range(1, most + 1):
            if across * rows <= most:
                yield from (_below(area, across, rows), _beside(area, across, rows))


def _below(area: Box, across: int, rows: int) -> TileRoom:
    """Rows of tiles as wide as the area, under the large picture."""
    tile_w = (area.w - (across - 1) * GAP_MM) / across
    if not LEAST_W_MM <= tile_w <= MOST_W_MM:
        return TileRoom(Box(area.x, area.y, 0, 0))
    tile_h = tile_w / ASPECT
    low = rows * (tile_h + CAPTION_MM) + GAP_MM
    rest = Box(area.x, area.y, area.w, area.h - low)
    return TileRoom(rest, _grid(Box(area.x, rest.bottom + GAP_MM, tile_w, tile_h), across, rows))


def _beside(area: Box, across: int, rows: int) -> TileRoom:
    """Columns of tiles as high as the area, right of the large picture."""
    tile_h = area.h / rows - CAPTION_MM
    tile_w = min(tile_h * ASPECT, MOST_W_MM)
    if tile_w < LEAST_W_MM:
        return TileRoom(Box(area.x, area.y, 0, 0))
    wide = across * (tile_w + GAP_MM)
    # The large picture ends where the last row of tiles does.
    rest = Box(area.x, area.y, area.w - wide, area.h - CAPTION_MM)
    return TileRoom(rest, _grid(Box(rest.right + GAP_MM, area.y, tile_w, tile_h), across, rows))


def _grid(first: Box, across: int, rows: int) -> tuple[Box, ...]:
    return tuple(
        Box(
            first.x + column * (first.w + GAP_MM), first.y + row * (first.h + CAPTION_MM), first.w, first.h
        )
        for row in range(rows)
        for column in range(across)
    )  # fmt: skip
