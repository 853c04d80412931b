"""What a block hands back once it has its place."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.records import Bar, Caption, Patch, Target


@dataclass(frozen=True)
class Placed:
    """Patches and targets to be measured, captions and bars to be looked at."""

    patches: tuple[Patch, ...] = ()
    targets: tuple[Target, ...] = ()
    captions: tuple[Caption, ...] = ()
    bars: tuple[Bar, ...] = ()

    def __add__(self, other: Placed) -> Placed:
        return Placed(
            self.patches + other.patches,
            self.targets + other.targets,
            self.captions + other.captions,
            self.bars + other.bars,
        )


NOTHING = Placed()
