"""The model of a card whose prints of many colours are kept in a folder, so that a proof need not fit it each time.

What is kept follows from the reading, the colours and this version alone: the folder may be deleted at any time.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from tackside import __version__
from tackside.colour.spaces import Floats
from tackside.profile.device.device import Intent, relative_lab
from tackside.profile.device.device_model import DeviceModel, fit_device_model
from tackside.tasks.kept_array import Table, kept_array

FORM = 1  # to be raised where the model or what lies below it gives other numbers


@dataclass(frozen=True, eq=False)
class KeptModel:
    """A ``Device``: the model of patches with device numbers (n, channels), 0 to 1, and CIELAB (n, 3).

    It is fitted once something is asked that ``folder`` does not hold; raises BadRequest then, where it can't be.
    """

    numbers: Floats
    lab: Floats
    folder: Path

    @cached_property
    def model(self) -> DeviceModel:
        return fit_device_model(self.numbers, self.lab)

    @property
    def channels(self) -> int:
        return int(self.numbers.shape[1])

    @property
    def white_lab(self) -> Floats:
        return np.asarray(self._ends[0])

    @property
    def black_lab(self) -> Floats:
        return np.asarray(self._ends[1])

    def to_lab(self, device: ArrayLike) -> Floats:
        return self.model.to_lab(device)

    def from_lab(self, lab: ArrayLike, intent: Intent, bpc: bool) -> Floats:
        return self.model.from_lab(lab, intent, bpc)

    def relative_print(self, lab: Floats, intent: Intent, *, bpc: bool) -> Floats:
        """Media-relative CIELAB (n, 3) of the print of a picture's CIELAB (n, 3), to 32 bits."""
        name = f"{intent} {bpc} {lab.shape} {hashlib.sha256(lab.tobytes()).hexdigest()}"
        kept = kept_array(
            self._file(name),
            lab.shape,
            lambda: relative_lab(self.model, self.model.from_lab(lab, intent, bpc)).astype(np.float32),
        )
        return kept.astype(np.float64)

    @cached_property
    def _ends(self) -> Floats:
        """White and black, CIELAB (2, 3). Each number as two of 32 bits, so that nothing of it is lost."""

        def made() -> Table:
            ends = np.stack([self.model.white_lab, self.model.black_lab])
            coarse = ends.astype(np.float32)
            return np.stack([coarse, (ends - coarse).astype(np.float32)])

        return np.asarray(kept_array(self._file("ends"), (2, 2, 3), made).astype(np.float64).sum(axis=0))

    def _file(self, name: str) -> Path:
        data = self.numbers.tobytes() + self.lab.tobytes()
        words = f"{FORM} {__version__} {name} {self.numbers.shape}"
        return self.folder / f"{hashlib.sha256(words.encode() + data).hexdigest()[:32]}.npy"
