"""Readers that are not ours: LittleCMS through Pillow and by itself, our proof's device, and the consortium's own."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import SRGB, rgb_to_lab
from tackside.profile.device.device import INTENTS, Intent, ProfileDevice
from tackside.profile.icc.exact import device_of_lab, lab_of_device
from tackside.profile.icc.inspect import to_media_relative
from tackside.profile.icc.working_space import working_space_profile
from tests.extent import share
from tests.profile.build.built import built, table
from tests.profile.build.presses import PRESSES
from tests.profile.littlecms import PCS_LAB, exact_lab, printed_lab

PRESS = pytest.mark.parametrize("press", PRESSES)
# Both presses and both versions; how they are paired goes by turns.
PROFILES = pytest.mark.parametrize(
    ("press", "version"),
    [(press, version) for number, press in enumerate(PRESSES) for version in share((4, 2), 2, number)],
)
PICTURE = np.random.default_rng(9).random((4000, 3))


def through_pillow(profile: bytes, intent: int, *, compensate: bool, back: bool) -> np.ndarray:
    """A picture's sRGB to the printer's numbers, or the other way round, 8 bits each, (n, 3) from 0 to 1."""
    ways = [ImageCms.ImageCmsProfile(io.BytesIO(each)) for each in (working_space_profile("srgb"), profile)]
    flags = ImageCms.Flags.BLACKPOINTCOMPENSATION if compensate else ImageCms.Flags.NONE
    transform = ImageCms.buildTransform(*(ways[::-1] if back else ways), "RGB", "RGB", intent, flags)
    image = Image.frombytes("RGB", (len(PICTURE), 1), np.rint(PICTURE * 255).astype(np.uint8).tobytes())
    return np.asarray(ImageCms.applyTransform(image, transform)).reshape(-1, 3) / 255


@PROFILES
@pytest.mark.parametrize("compensate", [True, False])
@pytest.mark.parametrize("intent", range(4))
def test_littlecms_opens_and_applies_every_intent(
    press: str, version: int, intent: int, compensate: bool
) -> None:
    profile = built(press, version).data
    there = through_pillow(profile, intent, compensate=compensate, back=False)
    back = through_pillow(profile, intent, compensate=compensate, back=True)
    for numbers in (there, back):
        assert np.ptp(numbers, axis=0).min() > 0.6  # a picture, and no flat field
    opened = ImageCms.ImageCmsProfile(io.BytesIO(profile)).profile
    assert all(
        opened.is_intent_supported(number, direction)
        for number in range(4)
        for direction in (ImageCms.Direction.INPUT, ImageCms.Direction.OUTPUT)
    )
    assert opened.profile_description.startswith("Harbour Satin 300, gr")


@PROFILES
@pytest.mark.parametrize("bpc", [True, False])
@pytest.mark.parametrize("intent", ["perceptual", "relative", "saturation"])
def test_our_proof_and_littlecms_print_the_same(press: str, version: int, intent: Intent, bpc: bool) -> None:
    """A picture on its way to the card: the device of our proofs beside LittleCMS by itself."""
    profile = built(press, version).data
    device = ProfileDevice(profile)
    stored = np.rint(PICTURE * 65535).astype(np.uint16)
    ours = device.to_relative_lab(device.from_lab(rgb_to_lab(stored / 65535, SRGB), intent, bpc))
    theirs = printed_lab(stored, working_space_profile("srgb"), profile, intent, bpc=bpc)
    apart = delta_e_2000(ours, theirs)
    assert np.median(apart) < 0.1
    assert np.quantile(apart, 0.99) < 0.3


@PRESS
def test_absolute_puts_the_papers_white_back(press: str) -> None:
    device = ProfileDevice(built(press).data)
    assert tuple(INTENTS) == ("perceptual", "relative", "saturation", "absolute")
    held = device.to_lab(0.15 + 0.7 * PICTURE)
    printed = PRESSES[press](device.from_lab(held, "absolute", False))
    assert np.median(delta_e_2000(printed, held)) < 0.3


@PROFILES
def test_the_consortiums_own_library_reads_the_same(press: str, version: int, tmp_path: Path) -> None:
    """RefIccMAX (iccDEV) of the International Color Consortium: nothing to complain of, and the same colours."""
    iccdev = pytest.importorskip("iccdev")
    profile = built(press, version).data
    verdict = iccdev.validate_profile(profile)
    assert verdict.status == iccdev.ValidationStatus.OK, verdict.report
    (tmp_path / "card.icc").write_bytes(profile)
    opened = iccdev.IccProfile(tmp_path / "card.icc")
    assert opened.is_valid
    assert opened.header.size == len(profile)
    engine = iccdev.IccCmm()
    engine.attach(tmp_path / "card.icc", intent=iccdev.Intent.RelativeColorimetric)
    engine.begin()
    lab = np.array([engine.apply(list(numbers)) for numbers in PICTURE[:500]])
    found = lab * [100, 255, 255] - [0, 128, 128]
    ours = lab_of_device(table(profile, "A2B1"), PICTURE[:500])
    assert delta_e_2000(found, ours).max() < 0.3  # its tables are read between the nodes along all three axes


@PROFILES
def test_gamut_alarm_of_littlecms_agrees_with_ours(press: str, version: int) -> None:
    """Colours that come back are inside, those that don't are outside, through the library's own double precision."""
    profile = built(press, version).data
    asked = np.random.default_rng(4).uniform([0, -90, -90], [100, 90, 90], (3000, 3))
    theirs = exact_lab(asked, [PCS_LAB, profile, profile, PCS_LAB], ["relative"] * 4, [False] * 4)
    outside = delta_e_2000(theirs, asked) > 4
    alarm = device_of_lab(table(profile, "gamt"), asked)[:, 0]
    assert np.mean(alarm[outside] > 0) > 0.98
    assert to_media_relative(asked, np.array([0.9642, 1.0, 0.8249])) == pytest.approx(asked)
