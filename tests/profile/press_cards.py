"""Cards of the virtual press (invented figures) read with a device sheet's patches: the truth is known."""

from __future__ import annotations

from functools import cache

import numpy as np

from tackside.colour.spaces import xyz_to_lab
from tackside.press.printer.colour_table import colour_table, look_up
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel
from tackside.profile.device.device_model import DeviceModel, fit_device_model
from tackside.sheet.plan import plan_sheet
from tests.bench import invented

NOISE = 0.3  # one sd of each of L*, a*, b*: a hand-held instrument on a grainy card (invented)


def truth(stock: StockModel, rgb: np.ndarray) -> np.ndarray:
    """CIELAB that the plain printer lays down."""
    return xyz_to_lab(look_up(colour_table(stock, PrinterModel()), rgb))


@cache
def patches() -> np.ndarray:
    """The device numbers of a test sheet (n, 3)."""
    plan = plan_sheet(invented.stock(), invented.printer(), trial_id="7K3M9QPA", purpose="device")
    return np.unique(np.array([patch.rgb for patch in plan.patches]), axis=0)


@cache
def readings(stock: StockModel, seed: int = 1) -> np.ndarray:
    """CIELAB (n, 3) of the patches, with the instrument's noise."""
    noise = NOISE * np.random.default_rng(seed).standard_normal((len(patches()), 3))
    return truth(stock, patches()) + noise


@cache
def model(stock: StockModel) -> DeviceModel:
    return fit_device_model(patches(), readings(stock))
