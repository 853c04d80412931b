"""Rows and columns of blocks: each gets its least room, and what is left is shared by weight."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tackside.sheet.block import Block
from tackside.sheet.page.headings import Look
from tackside.units import Box, Size


@dataclass(frozen=True)
class Leaf:
    block: Block
    weight: float = 1.0

    def least(self, look: Look) -> Size:
        return self.block.least(look)

    def cells(self, box: Box, look: Look) -> Iterator[tuple[Block, Box]]:
        yield self.block, box


@dataclass(frozen=True)
class BlockRun:
    """Children side by side (``across``) or one below the other."""

    across: bool
    children: tuple[Leaf | BlockRun, ...]
    weight: float = 1.0

    def least(self, look: Look) -> Size:
        sizes = [child.least(look) for child in self.children]
        gaps = self._gap(look) * (len(sizes) - 1)
        if self.across:
            return Size(sum(size.w for size in sizes) + gaps, max(size.h for size in sizes))
        return Size(max(size.w for size in sizes), sum(size.h for size in sizes) + gaps)

    def cells(self, box: Box, look: Look) -> Iterator[tuple[Block, Box]]:
        length, gap = (box.w if self.across else box.h), self._gap(look)
        needs = [size.w if self.across else size.h for size in (child.least(look) for child in self.children)]
        shares = _shared(length - gap * (len(needs) - 1), needs, [child.weight for child in self.children])
        at = 0.0
        for child, share in zip(self.children, shares, strict=True):
            part = (
                Box(box.x + at, box.y, share, box.h) if self.across else Box(box.x, box.y + at, box.w, share)
            )
            yield from child.cells(part, look)
            at += share + gap

    def _gap(self, look: Look) -> float:
        return look.column_gap_mm if self.across else look.gap_mm


def _shared(length: float, needs: list[float], weights: list[float]) -> list[float]:
    """Lengths in proportion to the weights, except where that is below the need."""
    shares = list(needs)
    free = set(range(len(needs)))
    while free:
        left = length - sum(shares[i] for i in range(len(needs)) if i not in free)
        total = sum(weights[i] for i in free)
        short = [i for i in free if left * weights[i] / total < needs[i] - 1e-9]
        if not short:
            for i in free:
                shares[i] = left * weights[i] / total
            break
        free -= set(short)
    return shares


def row(*children: Leaf | BlockRun, weight: float = 1.0) -> BlockRun:
    return BlockRun(True, children, weight)


def column(*children: Leaf | BlockRun, weight: float = 1.0) -> BlockRun:
    return BlockRun(False, children, weight)


def fits(tree: Leaf | BlockRun, box: Box, look: Look) -> bool:
    least = tree.least(look)
    return least.w <= box.w + 1e-6 and least.h <= box.h + 1e-6
