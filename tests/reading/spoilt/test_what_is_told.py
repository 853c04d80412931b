"""What general libraries do to a scan is told as what it is, and a clean scan is not accused."""

from __future__ import annotations

import io
from typing import get_args

import cv2
import numpy as np
import pytest
import pyvips
from PIL import Image, ImageCms, ImageFilter, ImageOps
from scipy.fft import dctn

from tackside.errors import BadScan
from tackside.messages.message import Message
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import device_to_lab_by_profile
from tackside.reading.scan.fitness import with_faults
from tackside.reading.spoilt.examine import MOST_UNSTEADY
from tackside.reading.spoilt.patches import bare_by_force, exchanged
from tackside.reading.spoilt.pictures import HEIGHT, WIDTH, one_below_another, picture_of
from tackside.reading.spoilt.pixels import coefficients
from tackside.reading.spoilt.tone import unsteady
from tackside.records import Patch
from tackside.records.sheet_plan import Space
from tackside.units import Box
from tests.reading.spoilt.looked_at import Pixels, located, sampled, told_of, with_pixels
from tests.verdict.path_prints import plan as path_plan
from tests.verdict.readings import reading


def plain(bits: int = 8) -> Pixels:
    return located(bits).scan.pixels


def by_pillow(kernel: ImageFilter.Filter) -> Pixels:
    return np.asarray(Image.fromarray(plain()).filter(kernel))


def through_jpeg(quality: int) -> Pixels:
    stream = io.BytesIO()
    Image.fromarray(plain()).save(stream, "JPEG", quality=quality)
    return np.asarray(Image.open(stream))


@pytest.mark.parametrize("bits", [8, 16])
def test_a_clean_scan_is_not_accused(bits: int) -> None:
    assert told_of(plain(bits), bits) == {}


def test_a_stretched_tone_leaves_levels_out() -> None:
    told = told_of(np.asarray(ImageOps.autocontrast(Image.fromarray(plain()), 1)))
    found = told["spoilt.levels-missing"]
    assert found.amount >= 4
    assert (found.setting, found.degree) == ("tone", 0.5)
    assert found.confidence > 0.6


def test_white_pulled_to_the_end_is_told_in_16_bits_too() -> None:
    pixels = plain(16).astype(np.float64)
    white = np.percentile(pixels[..., 1], 60)
    told = told_of(np.clip(pixels * 65535 / white, 0, 65535).astype(np.uint16), 16)
    assert "spoilt.white-pulled-up" in told


def test_bare_card_that_falls_off_as_light_does_is_steady_and_in_patches_it_is_not() -> None:
    rng = np.random.default_rng(5)
    places = rng.uniform(0, 150, (24, 2))
    numbers = np.repeat(238 - 0.05 * places[:, :1] + 0.03 * places[:, 1:], 3, axis=1)
    assert unsteady(places, numbers) < 0.01
    assert unsteady(places, numbers + rng.normal(0, 3.0, (24, 1))) > MOST_UNSTEADY
    assert unsteady(places[:6], numbers[:6]) == 0.0


@pytest.mark.parametrize(("radius", "percent"), [(1, 80), (2, 60), (4, 60)])
def test_sharpening_is_told_by_its_halo(radius: int, percent: int) -> None:
    found = told_of(by_pillow(ImageFilter.UnsharpMask(radius, percent, 0)))["scan.sharpened"]
    assert found.amount > 0.02
    assert found.part is not None


def test_a_blurred_scan_has_no_noise_from_pixel_to_pixel() -> None:
    rough = located(grainy=True).scan.pixels
    assert told_of(rough, grainy=True) == {}
    found = told_of(np.asarray(cv2.GaussianBlur(rough, (0, 0), 1.2)), grainy=True)["spoilt.smoothed"]
    assert found.setting == "smoothing"
    assert found.amount < 0.32
    assert found.fault is None


@pytest.mark.parametrize("quality", [40, 60, 80, 90])
def test_the_quality_of_a_jpeg_is_told_though_it_is_a_tiff_now(quality: int) -> None:
    # Pillow scales annex K's tables (docs/sources.md, S177) by the common rule.
    told = told_of(through_jpeg(quality))
    found = told["scan.once-heavy-jpeg" if quality < 75 else "spoilt.light-jpeg"]
    assert found.amount == pytest.approx(quality, abs=3)
    assert found.degree == (0.5 if quality < 75 else 0.0)


def test_a_jpeg_cropped_later_is_still_one() -> None:
    # Its grid then begins elsewhere than at the corner: three pixels down and five across.
    stream = io.BytesIO()
    wider = np.pad(plain(), ((5, 0), (3, 0), (0, 0)), mode="edge")
    Image.fromarray(wider).save(stream, "JPEG", quality=60)
    assert "scan.once-heavy-jpeg" in told_of(np.asarray(Image.open(stream))[5:, 3:])


def test_coefficients_are_the_cosine_transforms() -> None:
    blocks = np.random.default_rng(1).uniform(0, 255, (5, 8, 8)).astype(np.float32)
    expected = dctn(blocks, axes=(1, 2), norm="ortho")  # SciPy's, of type II
    assert np.abs(coefficients(blocks) - expected).max() < 1e-2


def test_eight_bits_saved_as_sixteen_are_told_and_leave_the_evidence_as_it_is() -> None:
    found = told_of(plain(8).astype(np.uint16) * 257, 16)["spoilt.eight-bits-as-sixteen"]
    assert found.amount <= 256
    assert found.fault is None


def test_repeated_pixels_are_told() -> None:
    height, width = plain().shape[:2]
    small = cv2.resize(plain(), (width // 2, height // 2), interpolation=cv2.INTER_AREA)
    found = told_of(cv2.resize(small, (width, height), interpolation=cv2.INTER_NEAREST))["spoilt.enlarged"]
    assert found.amount == pytest.approx(2.0, abs=0.05)
    assert found.fault is None


def test_exchanged_red_and_blue_are_refused() -> None:
    with pytest.raises(BadScan) as refusal:
        told_of(np.ascontiguousarray(plain()[..., ::-1]))
    assert refusal.value.message.code == "spoilt.red-and-blue-exchanged"


def test_inks_exchanged_in_the_printer_are_no_exchanged_channels() -> None:
    patches, seen = sampled(located())
    by_rgb = {patch.rgb: number for number, patch in enumerate(patches)}
    both = [(number, by_rgb.get(patch.rgb[::-1], number)) for number, patch in enumerate(patches)]
    numbers = seen.numbers.copy()
    for number, other in both:  # what was asked for as yellow is printed with cyan
        numbers[number] = seen.numbers[other]
    assert exchanged(patches, numbers) == 0.0
    assert exchanged(patches, seen.numbers) == 0.0
    assert exchanged(patches, seen.numbers[:, ::-1]) == 1.0


def test_a_covered_part_is_refused() -> None:
    pixels = plain().copy()
    height, width = pixels.shape[:2]
    pixels[height // 2 : height * 3 // 4, width // 2 : width * 3 // 4] = 255
    with pytest.raises(BadScan) as refusal:
        told_of(pixels)
    assert refusal.value.message.code == "spoilt.part-bare"


def test_a_missing_ink_is_no_covered_part() -> None:
    steps = (0.0, 0.5, 1.0)
    asked = [(r, g, b) for r in steps for g in steps for b in steps]
    patches = [
        Patch(name=str(rgb), rgb=rgb, box_mm=Box(5 * (at % 9), 5 * (at // 9), 4, 4), roles=(), panel="front")
        for at, rgb in enumerate(asked)
    ]
    ink = 1.0 - np.array(asked)

    def lab(cyan: float, magenta: float) -> np.ndarray:
        amounts = ink * (cyan, magenta, 1.0)
        return np.array([95.0, 0, 0]) - amounts @ np.array([[35.0, 30, 40], [40.0, -60, 15], [8.0, 5, -80]])

    for cyan, magenta in ((1.0, 1.0), (0.0, 1.0), (1.0, 0.0), (0.0, 0.0)):
        assert not bare_by_force(patches, lab(cyan, magenta)).any()
    covered = lab(1.0, 1.0)
    covered[3:8] = (96.0, 1.0, 2.0)
    assert list(np.flatnonzero(bare_by_force(patches, covered))) == [3, 4, 5, 6, 7]
    # One of them may be for want of an ink, as a path may lay it with one alone.
    alone = lab(1.0, 1.0)
    alone[4] = (96.0, 1.0, 2.0)
    assert not bare_by_force(patches, alone).any()


@pytest.mark.parametrize("missing", ["c", "m", "y", "k", "cm", "my"])
@pytest.mark.parametrize("space", get_args(Space))
def test_an_ink_that_a_profile_lays_alone_may_be_missing(space: Space, missing: str) -> None:
    # A profile mixes inks as it likes: pinks of magenta alone, lighter ones with a little yellow. By LittleCMS, as
    # Pillow has it, and the CMYK profile that libvips brings.
    profile = bytes(pyvips.Operation.call("profile_load", "cmyk"))
    patches = path_plan("a6", space=space).patches
    codes = np.round(np.array([patch.rgb for patch in patches]) * 255).astype(np.uint8)
    bare_somewhere = False
    for intent in ImageCms.Intent:
        transform = ImageCms.buildTransform(
            ImageCms.ImageCmsProfile(io.BytesIO(working_space_profile(space))),
            ImageCms.ImageCmsProfile(io.BytesIO(profile)), "RGB", "CMYK", renderingIntent=intent,
        )  # fmt: skip
        sent = ImageCms.applyTransform(Image.fromarray(codes[None], "RGB"), transform)
        assert sent is not None
        inks = np.asarray(sent)[0].astype(float) / 255
        whole = device_to_lab_by_profile(inks, profile, intent="absolute")
        inks[:, ["cmyk".index(ink) for ink in missing]] = 0.0
        left = device_to_lab_by_profile(inks, profile, intent="absolute")
        bare_somewhere |= bool((np.abs(left - whole).max(axis=1) > 5).any())
        assert not bare_by_force(patches, left).any(), intent
    assert bare_somewhere


def test_degrees_drive_the_evidence_and_words_do_not() -> None:
    keen = told_of(by_pillow(ImageFilter.UnsharpMask(2, 100, 0)))["scan.sharpened"]
    assert keen.fault is not None
    marked = with_faults(reading(), [keen.fault])
    assert marked.attributes["unfit"].value == keen.degree
    assert keen.spoiling("0" * 64).degree == keen.degree


def test_each_picture_shows_the_place_beside_itself() -> None:
    pictures = []
    for pixels in (
        by_pillow(ImageFilter.UnsharpMask(2, 100, 0)),
        through_jpeg(50),
        np.asarray(ImageOps.autocontrast(Image.fromarray(plain()), 2)),
    ):
        for told in told_of(pixels).values():
            shown = picture_of(with_pixels(pixels).scan, told.spoiling("0" * 64))
            assert shown.shape == (HEIGHT, WIDTH, 3)
            assert np.ptp(shown) > 100
            pictures.append(shown)
    assert len(pictures) >= 3
    assert one_below_another(pictures).shape == (len(pictures) * HEIGHT + (len(pictures) - 1) * 2, WIDTH, 3)


def test_messages_say_how_to_switch_it_off() -> None:
    text = str(Message("spoilt.smoothed", file="a.tif", noise=0.31))
    assert "descreening" in text
    assert "scanning program" in text
