"""Pictures opened with suspicion: what is no picture, too large, cut short or animated is refused in one
line.
"""

from __future__ import annotations

import io
import os
import struct
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest
import pyvips
import tifffile
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms

from tackside.errors import BadImage
from tackside.messages.message import Message
from tackside.picture.file.gather import gather_pictures
from tackside.picture.file.open import MOST_PIXELS, open_picture
from tackside.picture.file.place import pixels_for
from tackside.profile.icc.working_space import working_space_profile
from tackside.units import Box
from tests.refusals import refused

RED = (200, 30, 30)


def save(
    path: Path, mode: str = "RGB", colour: object = RED, size: tuple[int, int] = (40, 30), **how: object
) -> Path:
    Image.new(mode, size, colour).save(path, **how)  # type: ignore[arg-type]
    return path


def whole(path: Path, space: str = "srgb") -> np.ndarray:
    picture = open_picture(path)
    return pixels_for(picture, Box(0, 0, *picture.size_px), picture.size_px, space)  # type: ignore[arg-type]


def png_that_claims(width: int, height: int) -> bytes:
    """A PNG header of any size with hardly any data behind it (PNG specification, 11.2.2)."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    start = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header)
    return start + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("name", "data", "code"),
    [
        ("empty.jpg", b"", "picture.empty"),
        ("words.jpg", b"Dear printer, this is a letter", "picture.unknown-kind"),
        (
            "drawing.svg",
            b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>',
            "picture.unknown-kind",
        ),
        ("page.pdf", b"%PDF-1.7\n", "picture.unknown-kind"),
        ("head.jpg", b"\xff\xd8\xff\xe0nothing else", "picture.damaged-kind"),
        ("vast.png", png_that_claims(100_000, 100_000), "picture.too-many-pixels"),
    ],
)
def test_what_is_no_sound_picture_is_refused(tmp_path: Path, name: str, data: bytes, code: str) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(BadImage) as refused:
        open_picture(path)
    assert refused.value.message.code == code
    assert refused.value.message.value("file") == str(path)
    assert "\n" not in str(refused.value)
    assert name in refused.value.what


def test_the_limit_is_read_from_the_header(tmp_path: Path) -> None:
    path = tmp_path / "vast.png"
    path.write_bytes(png_that_claims(40_000, 12_500))  # exactly the limit
    assert MOST_PIXELS == 40_000 * 12_500
    assert open_picture(path).size_px == (40_000, 12_500)
    path.write_bytes(png_that_claims(40_000, 12_501))
    with refused(BadImage, "picture.too-many-pixels"):
        open_picture(path)


def test_missing_files_and_folders_are_named(tmp_path: Path) -> None:
    with refused(BadImage, "picture.missing"):
        open_picture(tmp_path / "boats.jpg")
    with refused(BadImage, "picture.folder"):
        open_picture(tmp_path)


@pytest.mark.parametrize("kind", ["jpg", "png", "tif", "webp"])
def test_a_truncated_picture_is_refused_and_never_greyed(tmp_path: Path, kind: str) -> None:
    noise = np.random.default_rng(1).integers(0, 255, (200, 300, 3), dtype=np.uint8)
    path = tmp_path / f"cut.{kind}"
    Image.fromarray(noise).save(path)
    data = path.read_bytes()
    path.write_bytes(data[: len(data) * 6 // 10])
    with pytest.raises(BadImage, match="damaged"):
        whole(path)


def test_animations_and_several_pages_are_refused(tmp_path: Path) -> None:
    frames = [Image.new("RGB", (20, 20), (n * 90, 0, 0)) for n in range(3)]
    frames[0].save(tmp_path / "a.gif", save_all=True, append_images=frames[1:])
    frames[0].save(tmp_path / "a.webp", save_all=True, append_images=frames[1:])
    frames[0].save(tmp_path / "a.tif", save_all=True, append_images=frames[1:])
    for name in ("a.gif", "a.webp", "a.tif"):
        with pytest.raises(BadImage, match="of 3 pictures"):
            open_picture(tmp_path / name)


@settings(max_examples=60, deadline=None)
@given(
    st.binary(max_size=400),
    st.sampled_from([b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\0", b"GIF89a", b""]),
)
def test_random_bytes_are_refused_in_the_family(
    tmp_path_factory: pytest.TempPathFactory, data: bytes, head: bytes
) -> None:
    path = tmp_path_factory.mktemp("random") / "random.bin"
    path.write_bytes(head + data)
    with pytest.raises(BadImage):
        whole(path)


@pytest.mark.parametrize("turn", range(1, 9))
def test_the_exif_turn_is_applied(tmp_path: Path, turn: int) -> None:
    """Against Pillow's own reading of tag 0x0112 (Exif 2.3)."""
    from PIL import ImageOps

    pixels = np.zeros((40, 60, 3), dtype=np.uint8)
    pixels[:20, :30], pixels[:20, 30:], pixels[20:, :30] = RED, (20, 160, 30), (30, 40, 190)
    image = Image.fromarray(pixels)
    exif = Image.Exif()
    exif[0x0112] = turn
    image.save(tmp_path / "turned.png", exif=exif)
    expected = np.asarray(ImageOps.exif_transpose(Image.open(tmp_path / "turned.png")))
    found = whole(tmp_path / "turned.png")
    np.testing.assert_array_equal(found, expected)
    assert open_picture(tmp_path / "turned.png").size_px == (expected.shape[1], expected.shape[0])


def test_transparency_is_laid_on_white_with_a_warning(tmp_path: Path) -> None:
    path = save(tmp_path / "clear.png", "RGBA", (200, 0, 0, 128))
    picture = open_picture(path)
    assert Message("picture.laid-on-white", file="clear.png") in picture.warnings
    # 128/255 of the colour over white: 255 − (255 − 200)·0.502 = 227, 255·(1 − 0.502) = 127.
    assert whole(path)[15, 20] == pytest.approx([227, 127, 127], abs=1)


def four_colours() -> np.ndarray:
    """Red, green, blue and yellow quarters, (60, 80, 3)."""
    quarters = np.zeros((60, 80, 3), np.uint8)
    quarters[:30, :40], quarters[:30, 40:] = (200, 30, 30), (30, 160, 40)
    quarters[30:, :40], quarters[30:, 40:] = (40, 50, 190), (230, 210, 40)
    return quarters


@pytest.mark.parametrize("planes", ["contig", "separate"])
@pytest.mark.parametrize("deep", [False, True])
@pytest.mark.parametrize("count", [1, 2, 3, 5])
def test_saved_selections_leave_the_colours_alone(
    count: int, deep: bool, planes: str, tmp_path: Path
) -> None:
    """TIFF 6.0, section 18: channels of the kind 0 are no transparency; written by tifffile."""
    colours = four_colours()
    selection = np.zeros((60, 80, count), np.uint8)
    selection[15:45, 20:60] = 255
    pixels = np.dstack([colours, selection])
    if deep:
        pixels = pixels.astype(np.uint16) * 257
    path = tmp_path / "selected.tif"
    tifffile.imwrite(
        path, pixels if planes == "contig" else np.moveaxis(pixels, 2, 0),
        photometric="rgb", planarconfig=planes, extrasamples=(0,) * count,
    )  # fmt: skip
    np.testing.assert_array_equal(whole(path), colours)
    told = [each.value("count") for each in open_picture(path).warnings if each.code.endswith("left-out")]
    assert told == [count]


def test_transparency_is_told_from_selections_beside_it(tmp_path: Path) -> None:
    """A selection before the transparency (kind 2) that cuts a hole."""
    colours = four_colours()
    selection, shows = np.zeros((60, 80), np.uint8), np.full((60, 80), 255, np.uint8)
    shows[:10] = 0
    path = tmp_path / "both.tif"
    pixels = np.dstack([colours, selection, shows])
    tifffile.imwrite(path, pixels, photometric="rgb", extrasamples=(0, 2))
    expected = colours.copy()
    expected[:10] = 255
    np.testing.assert_array_equal(whole(path), expected)


def test_greys_and_inks_with_selections(tmp_path: Path) -> None:
    grey = np.dstack([np.full((60, 80), 90, np.uint8), *[np.zeros((60, 80), np.uint8)] * 2])
    tifffile.imwrite(
        tmp_path / "grey.tif", grey, photometric="minisblack", planarconfig="contig", extrasamples=(0, 0)
    )
    assert (whole(tmp_path / "grey.tif") == 90).all()
    inks = np.zeros((60, 80, 6), np.uint8)
    tifffile.imwrite(
        tmp_path / "inks.tif", inks, photometric="separated", planarconfig="contig", extrasamples=(0, 0)
    )
    with refused(BadImage, "picture.cmyk-without-profile"):
        open_picture(tmp_path / "inks.tif")


def test_colour_under_transparency_does_not_bleed_into_edges(tmp_path: Path) -> None:
    pixels = np.zeros((64, 64, 4), dtype=np.uint8)
    pixels[..., 0] = 255  # red everywhere, also where nothing shows
    pixels[:, 32:] = (0, 0, 255, 255)
    Image.fromarray(pixels).save(tmp_path / "half.png")
    picture = open_picture(tmp_path / "half.png")
    small = pixels_for(picture, Box(0, 0, 64, 64), (16, 16), "srgb").astype(int)
    assert (small[:, :6] >= 252).all()
    # Red never exceeds what white and blue together can hold: it stays the green's equal.
    assert np.abs(small[..., 0] - small[..., 1]).max() <= 2


def test_a_missing_profile_is_said_and_taken_for_srgb(tmp_path: Path) -> None:
    path = save(tmp_path / "plain.png")
    picture = open_picture(path)
    assert picture.profile is None
    assert picture.profile_name == Message("picture.srgb-assumed")
    assert picture.warnings == (Message("picture.taken-for-srgb", file="plain.png"),)
    assert tuple(whole(path)[5, 5]) == RED


def test_an_embedded_profile_is_honoured(tmp_path: Path) -> None:
    """Adobe RGB (1998) numbers to sRGB, against the exact sums of both specifications."""
    from tackside.colour.spaces import ADOBE_RGB, SRGB, rgb_to_xyz_d50, xyz_d50_to_rgb

    path = save(tmp_path / "wide.png", colour=(120, 150, 90), icc_profile=working_space_profile("adobe-rgb"))
    expected = xyz_d50_to_rgb(rgb_to_xyz_d50(np.array([120, 150, 90]) / 255, ADOBE_RGB), SRGB) * 255
    assert open_picture(path).warnings == ()
    assert whole(path)[5, 5] == pytest.approx(expected, abs=1.5)
    assert tuple(whole(path, "adobe-rgb")[5, 5]) == (120, 150, 90)


def test_a_damaged_profile_is_said_and_taken_for_srgb(tmp_path: Path) -> None:
    path = save(tmp_path / "odd.png", icc_profile=b"no profile at all" * 20)
    picture = open_picture(path)
    # libvips may drop such a profile itself, or hand it on.
    (told,) = picture.warnings
    assert told.code in ("picture.taken-for-srgb", "picture.profile-not-used")
    assert tuple(whole(path)[5, 5]) == RED


def test_cmyk_needs_its_profile(tmp_path: Path) -> None:
    path = save(tmp_path / "ink.tif", "CMYK", (0, 200, 200, 20))
    with refused(BadImage, "picture.cmyk-without-profile"):
        open_picture(path)


@pytest.mark.parametrize(("mode", "grey"), [("L", 90), ("I;16", 90 * 257)])
def test_grey_files_of_8_and_16_bits_become_rgb(tmp_path: Path, mode: str, grey: int) -> None:
    path = tmp_path / "grey.png"
    if mode == "L":
        save(path, "L", grey)
    else:
        Image.fromarray(np.full((30, 40), grey, dtype=np.uint16)).save(path)
    assert open_picture(path).bits == (8 if mode == "L" else 16)
    assert whole(path)[5, 5] == pytest.approx([90, 90, 90], abs=1)


def test_grey_with_its_own_profile_goes_through_it(tmp_path: Path) -> None:
    """A grey profile of gamma 1.0 from LittleCMS' own builder would need a fixture; sRGB's tone is checked
    instead.
    """
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    path = save(tmp_path / "tagged.png", icc_profile=srgb)
    assert whole(path)[5, 5] == pytest.approx(RED, abs=1)


def test_reading_starts_anew_for_each_part(tmp_path: Path) -> None:
    path = save(tmp_path / "plain.png")
    picture = open_picture(path)
    for part in (Box(20, 15, 10, 10), Box(0, 0, 10, 10)):
        assert pixels_for(picture, part, (5, 5), "srgb").shape == (5, 5, 3)


def test_a_buffer_of_16_bits_keeps_its_tones(tmp_path: Path) -> None:
    buffer = io.BytesIO()
    ramp = np.linspace(0, 65535, 256).astype(np.uint16)[None, :].repeat(8, axis=0)
    Image.fromarray(ramp).save(buffer, "png")
    (tmp_path / "ramp.png").write_bytes(buffer.getvalue())
    found = whole(tmp_path / "ramp.png")[4, :, 0].astype(int)
    assert np.abs(found - np.arange(256)).max() <= 1


@pytest.mark.parametrize(
    "how",
    [
        {"compression": "lzw"},
        {"compression": "deflate", "tile": True, "tile_width": 16, "tile_height": 16},
        {"bigtiff": True},
        {"compression": "none", "tile": True, "tile_width": 16, "tile_height": 16},
    ],
)
def test_whole_tiffs_of_every_build_are_taken_and_cut_ones_are_not(
    tmp_path: Path, how: dict[str, object]
) -> None:
    pixels = np.random.default_rng(2).integers(0, 255, (90, 70, 3), dtype=np.uint8)
    path = tmp_path / "build.tif"
    pyvips.Image.new_from_array(pixels).tiffsave(str(path), **how)
    np.testing.assert_array_equal(whole(path), pixels)
    data = path.read_bytes()
    path.write_bytes(data[: len(data) // 2])
    with refused(BadImage, "picture.pixels-missing"):
        whole(path)


@pytest.mark.parametrize("name", ["boats[1].jpg", "Größe & Licht.jpg", "two words.JPG", "no-suffix"])
def test_unusual_file_names_are_opened(tmp_path: Path, name: str) -> None:
    Image.new("RGB", (40, 30), RED).save(tmp_path / name, format="jpeg", quality=100)
    assert whole(tmp_path / name)[5, 5] == pytest.approx(RED, abs=3)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_refused_instead_of_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    with refused(BadImage, "file.cannot-read", reason=Message("file.is-pipe-or-device")):
        open_picture(tmp_path / "pipe.jpg")


@pytest.mark.parametrize("mode", ["1", "P", "LA", "RGBA"])
def test_other_kinds_of_png_become_rgb(tmp_path: Path, mode: str) -> None:
    Image.new("RGB", (40, 30), RED).convert("L" if mode == "LA" else "RGB").convert(mode).save(
        tmp_path / "a.png"
    )
    found = whole(tmp_path / "a.png")
    assert found.shape == (30, 40, 3)
    expected = np.asarray(Image.open(tmp_path / "a.png").convert("RGB"))
    assert np.abs(found.astype(int) - expected).max() <= 1


def test_what_would_be_turned_in_more_memory_than_a_command_may_take_is_refused(tmp_path: Path) -> None:
    """A plain colour packs 1000 to 1: the file's own size says nothing."""
    image = pyvips.Image.black(13_500, 13_500, bands=3).copy(interpretation="srgb")
    upright = tmp_path / "upright.tif"
    image.tiffsave(str(upright), compression="deflate")
    assert open_picture(upright).size_px == (13_500, 13_500)
    image.set_type(pyvips.GValue.gint_type, "orientation", 6)
    image.tiffsave(str(tmp_path / "turned.tif"), compression="deflate")
    told = {"width_px": 13_500, "height_px": 13_500, "limit_mb": 540}
    with refused(BadImage, "picture.too-large-to-turn", **told):
        open_picture(tmp_path / "turned.tif")


@pytest.mark.skipif(sys.platform != "linux", reason="names of this kind are Linux's")
def test_one_odd_name_in_a_folder_ends_nothing(tmp_path: Path) -> None:
    Image.new("RGB", (40, 30), RED).save(tmp_path / "sea.png")
    odd = tmp_path / os.fsdecode(b"sk\xe4r.png")
    odd.write_bytes((tmp_path / "sea.png").read_bytes())
    os.mkfifo(tmp_path / "pipe.png")
    (tmp_path / "loop.png").symlink_to("loop.png")
    assert gather_pictures([tmp_path]) == (tmp_path / "sea.png", odd)
    assert open_picture(odd).size_px == (40, 30)
