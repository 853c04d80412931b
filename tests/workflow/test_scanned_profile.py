"""A profile from scans alone: an everyday flatbed with cross-talk and stray light, characterised on the same inks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import pyvips

from tackside.bench.store import Bench
from tackside.colour.difference import delta_e_2000
from tackside.press.instrument import measure
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.scanner.scan_file import write_scan
from tackside.press.scanner.scanner_model import office
from tackside.press.scanner.scanning import Scan, scan
from tackside.profile.device.device import ProfileDevice
from tackside.records import Trial
from tackside.sheet.render import render
from tackside.workflow.profiles.build import build_own_profile
from tackside.workflow.read import read_print
from tackside.workflow.scanners import learn_on_sheet
from tackside.workflow.sent_files import SentFile
from tests.cli.bench_of_readings import MODELS
from tests.workflow.own_profiles import bench_with, device_trial, press_of

GLARE = 0.01  # stray light from all over the sheet, a share of its mean (invented)


def scanned(trial: Trial, name: str, folder: Path, seed: int) -> Path:
    printed = print_sheet(render(trial.sheet), trial.sheet.ppi, MODELS[name], PrinterModel())
    seen = scan(printed, replace(office(), compression="none", seed=seed))
    file = folder / f"{trial.id}.tif"
    write_scan(with_glare(seen), file)
    return file


def with_glare(seen: Scan) -> Scan:
    """Light from the whole sheet added to every place: in the file's linear numbers (sRGB, IEC 61966-2-1)."""
    top = np.iinfo(seen.image.dtype).max
    codes = seen.image.astype(np.float32) / top
    light = np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)
    light = (1 - GLARE) * light + GLARE * light.mean(axis=(0, 1))
    codes = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)
    return replace(seen, image=np.rint(codes * top).astype(seen.image.dtype))


def learnt_on(bench: Bench, name: str, folder: Path) -> None:
    """The scanner characterised on a sheet that was scanned and measured."""
    sheet = device_trial(bench, name)
    data = folder / "measured.txt"
    data.write_bytes(measure(press_of(name), [patch.rgb for patch in sheet.sheet.patches]))
    learn_on_sheet(bench, "Desk", sheet.id, scanned(sheet, name, folder, 3), data)


@pytest.mark.slow
def test_through_a_characterised_scanner(tmp_path: Path) -> None:
    name = "harbour-satin-300"
    bench = bench_with(tmp_path / "bench", name)
    learnt_on(bench, name, tmp_path)
    trial = device_trial(bench, name)
    file = scanned(trial, name, tmp_path, 4)
    assert pyvips.Image.new_from_file(str(file)).bands == 3
    read_print(bench, trial.id, [SentFile.at(file)], scanner="Desk")
    out = tmp_path / "card.icc"
    build_own_profile(bench, [trial.id], out=out)
    numbers = np.random.default_rng(8).random((5000, 3))
    apart = delta_e_2000(ProfileDevice(out.read_bytes()).to_lab(numbers), press_of(name).lab_of(numbers))
    assert np.median(apart) <= 1.0
