"""The blocks that judge detail, and the orders in which they may stand together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tackside.sheet.arrange import BlockRun, Leaf, column, fits, row
from tackside.sheet.block import Block
from tackside.sheet.blocks.bleed import Bleed
from tackside.sheet.blocks.edges import Edges
from tackside.sheet.blocks.lines import Lines
from tackside.sheet.blocks.scene import Scene
from tackside.sheet.blocks.smudge import Smudge
from tackside.sheet.blocks.specimen import Specimen
from tackside.sheet.page.headings import Look
from tackside.units import Box

LINES, EDGES, TYPE, SMUDGE, SCENE = Lines(), Edges(), Specimen(), Smudge(), Scene()
# Most important first: what comes last is left out first.
BY_PRIORITY = (LINES, EDGES, TYPE, SMUDGE, SCENE)
BLEED = Bleed()


def arrangements(wide: bool) -> Iterator[tuple[int, Leaf | BlockRun]]:
    """How many blocks of ``BY_PRIORITY`` stand, and how: the fullest and finest first.

    ``wide`` says that the room is so wide that the scene had better stand beside the others than above them.
    """
    lines, edges, type_, smudge = Leaf(LINES, 5), Leaf(EDGES, 3), Leaf(TYPE, 5), Leaf(SMUDGE, 2)
    beside = row(
        Leaf(SCENE, 11), column(row(lines, type_, weight=14), row(edges, smudge, weight=8), weight=10)
    )
    if wide:
        yield 5, beside
    yield 5, column(Leaf(SCENE, 8), row(lines, type_, weight=6), row(edges, smudge, weight=3))
    yield 5, column(Leaf(SCENE, 6), row(lines, type_, column(edges, smudge, weight=3), weight=4))
    yield 5, beside
    yield 5, row(Leaf(SCENE, 4), column(Leaf(LINES, 10), type_, row(edges, smudge, weight=2), weight=3))
    yield 5, column(Leaf(SCENE, 4), lines, type_, row(edges, smudge, weight=3))
    yield 4, column(row(lines, type_, weight=5), row(edges, smudge, weight=2))
    yield 4, row(lines, type_, column(edges, smudge, weight=3))
    yield 4, row(lines, edges, type_, smudge)
    yield 4, column(lines, type_, row(edges, smudge))
    yield 4, column(lines, type_, edges, smudge)
    yield 3, row(lines, type_, edges)
    yield 3, column(row(lines, edges), type_)
    yield 3, column(lines, row(edges, type_))
    yield 3, column(lines, edges, type_)
    yield from ((2, row(lines, edges)), (2, column(lines, edges)), (1, lines))


def with_bleed(cells: Iterable[tuple[Block, Box]], look: Look) -> list[tuple[Block, Box]]:
    """The cells with the bleed block among them, where one of them can spare the room. The other blocks stay.

    The scene gives first, for it is for the eye alone; then smudge, which needs no more than its least; then type,
    which goes without some of its large sizes.
    """
    found = list(cells)
    for donor, share in ((SCENE, 7), (SMUDGE, 2), (TYPE, 3)):
        for number, (block, cell) in enumerate(found):
            if block is not donor:
                continue
            wide = cell.w > 1.4 * cell.h
            beside, below = row(Leaf(block, share), Leaf(BLEED)), column(Leaf(block, share), Leaf(BLEED))
            for tree in (beside, below) if wide else (below, beside):
                if fits(tree, cell, look):
                    return [*found[:number], *tree.cells(cell, look), *found[number + 1 :]]
    return found
