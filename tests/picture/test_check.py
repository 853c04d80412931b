"""Before any ink: each thing that can be wrong with a picture is found, with its figure and what to do.

From where on a thing is told: docs/sources.md, S21 and S25.
"""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import pyvips
import tifffile
from PIL import Image, ImageCms

from tackside.messages.message import Message
from tackside.messages.wording import TERMINAL, Wording
from tackside.picture.check.check import PictureCheck, check_picture
from tackside.picture.check.finding import PictureFinding
from tackside.picture.check.resolution import Use, aimed_ppi, eye_limit_ppi, resolution_in
from tackside.picture.proof.tested_cards import ReadCard
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import StockModel, craft_card, semi_gloss
from tackside.profile.device.device_model import fit_device_model
from tackside.profile.icc.working_space import working_space_profile
from tests.picture.photographs import photograph
from tests.picture.test_opening import png_that_claims
from tests.profile.small_profiles import cmyk_profile

SRGB = working_space_profile("srgb")
PANEL = Message("picture.place.any-panel")
A6 = Use((105.0, 148.0), Message("picture.place.panel", panel=Message("panel.front")), 600.0)


def found(check: PictureCheck, name: str) -> PictureFinding | None:
    return next((finding for finding in check.findings if finding.id == name), None)


def saved(path: Path, image: Image.Image, **how: object) -> PictureCheck:
    image.save(path, **{"icc_profile": SRGB, **how})  # type: ignore[arg-type]
    return check_picture(path)


def test_a_sound_photograph_has_no_finding(tmp_path: Path) -> None:
    assert saved(tmp_path / "a.png", photograph("chelsea.png")).findings == ()


def test_every_finding_says_what_to_do(tmp_path: Path) -> None:
    """One sentence each, as the errors have: no full stop, no line break; in English and in German."""
    Image.new("RGBA", (90, 40), (255, 255, 255, 100)).save(tmp_path / "a.png")
    findings = check_picture(tmp_path / "a.png", A6).findings
    assert len(findings) >= 4
    for finding in findings:
        for wording in (TERMINAL, Wording(language="de", units="in", where="page")):
            for words in (wording.what(finding.message), wording.fix(finding.message)):
                assert words
                assert not words.endswith(".")
                assert "\n" not in words


# 3438 ÷ distance in inches (one minute of arc): 349 ppi at 25 cm, 291 at 30 cm.
@pytest.mark.parametrize(("distance_cm", "ppi"), [(25, 349), (30, 291)])
def test_the_eyes_limit(distance_cm: float, ppi: int) -> None:
    assert round(eye_limit_ppi(distance_cm)) == ppi


def test_true_resolution_is_that_of_the_filled_panel() -> None:
    # 6 in wide at 300 ppi by 4 in high; a panel of 4 × 6 in crops the width and spreads 1200 px over 6 in.
    use = Use((101.6, 152.4), PANEL)
    assert resolution_in((1800, 1200), use).ppi == pytest.approx(200)
    assert resolution_in((1800, 1200), use).shown == pytest.approx((4 / 6) ** 2)
    assert resolution_in((1200, 1800), use).ppi == pytest.approx(300)
    assert resolution_in((1200, 1800), use).shown == pytest.approx(1)


@pytest.mark.parametrize(
    ("grid", "eye", "aim"), [(600, 291, 300), (720, 291, 360), (600, 349, 349), (None, 291, 291)]
)
def test_the_aim_is_a_part_of_the_printers_grid_where_one_serves(
    grid: float | None, eye: float, aim: float
) -> None:
    assert aimed_ppi(eye, grid) == pytest.approx(aim)


def test_too_few_pixels_are_found_and_the_fix_names_enough(tmp_path: Path) -> None:
    photograph("coffee.png").save(tmp_path / "a.png", icc_profile=SRGB)
    low = found(check_picture(tmp_path / "a.png", A6), "resolution-low")
    assert low is not None
    assert low.severity == "mend"
    assert low.figure == pytest.approx(400 / (148 / 25.4), abs=0.1)  # 600 × 400 pixels: the height decides
    values = low.message.values
    assert (values["width_px"], values["height_px"], values["aim_ppi"]) == (1241, 1749, 300)
    assert "1241 × 1749 pixels (300 ppi)" in TERMINAL.fix(low.message)


def test_more_pixels_than_the_grid_is_only_a_note(tmp_path: Path) -> None:
    Image.effect_noise((2000, 2800), 25).convert("RGB").save(tmp_path / "a.jpg", icc_profile=SRGB)
    (only,) = check_picture(tmp_path / "a.jpg", Use((50, 70), PANEL, 600.0)).findings
    assert (only.id, only.severity) == ("resolution-beyond-grid", "note")


@pytest.mark.parametrize("depth", [8, 16])
def test_clipping_is_counted_by_channel_and_together(tmp_path: Path, depth: int) -> None:
    pixels = np.full((100, 100, 3), 120, dtype=np.uint16)
    pixels[:30] = 255  # 3000 of 10000
    pixels[30:40, :, 0] = 255  # red alone: 1000 more
    pixels[90:, :50] = 0  # 500
    image = pyvips.Image.new_from_array(pixels.astype(np.uint8) if depth == 8 else pixels * 257)
    image.copy(interpretation="srgb" if depth == 8 else "rgb16").pngsave(str(tmp_path / "a.png"))
    check = check_picture(tmp_path / "a.png")
    assert check.survey is not None
    assert check.survey.highlights is not None
    assert check.survey.highlights.channels == pytest.approx((0.4, 0.3, 0.3))
    high, low = found(check, "clipped-highlights"), found(check, "clipped-shadows")
    assert high is not None
    assert low is not None
    assert (high.figure, low.figure) == (pytest.approx(0.3), pytest.approx(0.05))


def test_one_clipped_channel_is_named(tmp_path: Path) -> None:
    image = photograph("chelsea.png")
    image.paste((255, 60, 40), (0, 0, image.width, image.height // 10))
    flat = found(saved(tmp_path / "a.png", image), "clipped-highlights-channel")
    assert flat is not None
    assert flat.message.value("channel") == Message("picture.channel.red")


def test_what_no_one_sees_through_transparency_does_not_count(tmp_path: Path) -> None:
    image = photograph("chelsea.png").convert("RGBA")
    image.paste((0, 0, 0, 0), (0, 0, image.width, image.height // 2))
    check = saved(tmp_path / "a.png", image)
    assert found(check, "clipped-shadows") is None
    clear = found(check, "transparent")
    assert clear is not None
    assert clear.figure == pytest.approx(0.5)


def test_a_missing_profile_is_found(tmp_path: Path) -> None:
    assert found(saved(tmp_path / "a.png", photograph("chelsea.png"), icc_profile=None), "profile-missing")


def test_a_damaged_profile_is_found(tmp_path: Path) -> None:
    assert found(
        saved(tmp_path / "a.jpg", photograph("chelsea.png"), icc_profile=b"none" * 99), "profile-damaged"
    )


def test_saved_selections_are_told(tmp_path: Path) -> None:
    pixels = np.dstack([photograph("chelsea.png"), np.zeros((300, 451, 2), np.uint8)])
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb", extrasamples=(0, 0))
    check = check_picture(tmp_path / "a.tif")
    told = found(check, "channels-left-out")
    assert told is not None
    assert told.message.value("count") == 2
    assert not found(check, "transparent")


@pytest.mark.parametrize("rows", [None, 7, 64, 1000])
def test_a_tiff_of_any_strips_is_surveyed_to_its_end(rows: int | None, tmp_path: Path) -> None:
    """One strip for the whole picture is common in scans; written by tifffile, its own default among the heights."""
    pixels = np.asarray(photograph("chelsea.png"))
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb", rowsperstrip=rows)
    told = check_picture(tmp_path / "a.tif")
    pyvips.Image.new_from_array(pixels).pngsave(str(tmp_path / "a.png"))
    assert [each.id for each in told.findings] == ["profile-missing"]
    assert told.survey == check_picture(tmp_path / "a.png").survey


def test_a_device_profile_in_a_picture_is_odd(tmp_path: Path) -> None:
    scanner = bytearray(SRGB)
    scanner[12:16] = b"scnr"
    odd = found(
        saved(tmp_path / "a.png", photograph("chelsea.png"), icc_profile=bytes(scanner)), "profile-odd"
    )
    assert odd is not None
    assert odd.message.code == "picture.profile-odd-input"
    assert odd.message.value("kind") == "input"


def test_adobe_rgb_is_a_note_with_its_size(tmp_path: Path) -> None:
    check = saved(
        tmp_path / "a.png", photograph("chelsea.png"), icc_profile=working_space_profile("adobe-rgb")
    )
    (wide,) = check.findings
    assert (wide.id, wide.severity) == ("profile-wide", "note")
    # Adobe RGB (1998) holds about 1.2 million cubic CIELAB units, sRGB 0.83 million (docs/sources.md, S72).
    assert wide.figure == pytest.approx(1.2 / 0.83, rel=0.05)


def test_a_very_wide_space_at_8_bits_will_show(tmp_path: Path) -> None:
    """The primaries of Rec. ITU-R BT.2020, wider still than Adobe RGB (1998), written over sRGB's own."""
    from tackside.colour.spaces import WHITE_D50, WHITE_D65_XY, bradford_matrix, xy_to_xyz

    primaries = np.stack([xy_to_xyz(xy) for xy in ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046))], axis=1)
    white = xy_to_xyz(WHITE_D65_XY)
    to_xyz = bradford_matrix(white, WHITE_D50) @ (primaries * np.linalg.solve(primaries, white))
    profile = bytearray(SRGB)
    for column, tag in enumerate((b"rXYZ", b"gXYZ", b"bXYZ")):
        entry = profile.index(tag, 128)
        place = int.from_bytes(profile[entry + 4 : entry + 8], "big") + 8
        profile[place : place + 12] = b"".join(
            round(value * 65536).to_bytes(4, "big", signed=True) for value in to_xyz[:, column]
        )
    check = saved(tmp_path / "a.png", photograph("chelsea.png"), icc_profile=bytes(profile))
    assert found(check, "profile-wide-8-bits")


def test_cmyk_and_grey_files_are_found(tmp_path: Path) -> None:
    inks = saved(tmp_path / "a.tif", photograph("chelsea.png").convert("CMYK"), icc_profile=cmyk_profile())
    assert found(inks, "cmyk")
    assert found(inks, "profile-odd")
    bare = saved(tmp_path / "b.tif", photograph("chelsea.png").convert("CMYK"), icc_profile=None)
    assert found(bare, "cmyk-without-profile")
    assert found(saved(tmp_path / "a.png", photograph("chelsea.png").convert("L"), icc_profile=None), "grey")


def test_a_turn_asked_for_by_exif_is_found_and_counted_in(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # Exif 2.3: the top is on the right
    photograph("chelsea.png").save(tmp_path / "a.jpg", quality=95, exif=exif, icc_profile=SRGB)
    check = check_picture(tmp_path / "a.jpg", Use((30.0, 45.1), PANEL))
    assert found(check, "turned")
    assert check.picture is not None
    assert check.picture.size_px == (300, 451)
    assert found(check, "much-cropped") is None


@pytest.mark.parametrize(
    ("name", "data", "expected"),
    [
        ("empty.jpg", b"", "broken"),
        ("words.jpg", b"Dear printer", "broken"),
        ("vast.png", png_that_claims(100_000, 100_000), "enormous"),
        ("none.png", png_that_claims(0, 0), "broken"),
    ],
)
def test_what_is_no_picture_is_a_finding_that_stops(
    tmp_path: Path, name: str, data: bytes, expected: str
) -> None:
    (tmp_path / name).write_bytes(data)
    (only,) = check_picture(tmp_path / name).findings
    assert (only.id, only.severity) == (expected, "stop")


def test_a_file_cut_short_is_broken(tmp_path: Path) -> None:
    photograph("ihc.png").save(tmp_path / "a.jpg", quality=95)
    data = (tmp_path / "a.jpg").read_bytes()
    (tmp_path / "a.jpg").write_bytes(data[: len(data) * 2 // 3])
    (only,) = check_picture(tmp_path / "a.jpg").findings
    assert only.id == "broken"


def test_a_cmyk_file_cut_short_is_broken_whatever_its_colours(tmp_path: Path) -> None:
    """Its name is by what refused it, and not by its header, which is that of a sound CMYK file."""
    photograph("ihc.png").convert("CMYK").save(tmp_path / "a.jpg", quality=95, icc_profile=cmyk_profile())
    data = (tmp_path / "a.jpg").read_bytes()
    (tmp_path / "a.jpg").write_bytes(data[: len(data) * 2 // 3])
    (only,) = check_picture(tmp_path / "a.jpg").findings
    assert (only.id, only.message.code) == ("broken", "picture.breaks-off")


def test_several_pictures_in_a_file_are_found(tmp_path: Path) -> None:
    frames = [Image.new("RGB", (20, 20), (n * 90, 0, 0)) for n in range(3)]
    frames[0].save(tmp_path / "a.gif", save_all=True, append_images=frames[1:])
    (only,) = check_picture(tmp_path / "a.gif").findings
    assert only.id == "several-pictures"


def card_of(model: StockModel) -> ReadCard:
    steps = np.linspace(0, 1, 5)
    rgb = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
    printed = print_sheet(np.full((60, 60, 3), 255, np.uint8), 600, model, PrinterModel())
    device = fit_device_model(rgb, printed.lab_of(rgb))
    return ReadCard(SimpleNamespace(name=model.name, key=model.name, channels=3, device=device))


def test_colours_that_no_tested_card_holds_are_found(tmp_path: Path) -> None:
    photograph("rocket.jpg").save(tmp_path / "night.png", icc_profile=SRGB)
    Image.new("RGB", (200, 200), (0, 40, 255)).save(tmp_path / "blue.png", icc_profile=SRGB)
    cards = (card_of(craft_card()), card_of(semi_gloss()))
    blue = found(check_picture(tmp_path / "blue.png", cards=cards), "outside-every-card")
    assert blue is not None
    assert blue.figure == pytest.approx(1)
    assert blue.message.code == "picture.outside-every-card"
    assert blue.message.value("colours") == Message("picture.colours.blues")
    assert blue.message.value("card") == semi_gloss().name
    night = found(check_picture(tmp_path / "night.png", cards=cards[:1]), "outside-every-card")
    assert night is not None
    assert night.message.code == "picture.outside-the-one-card"
    assert night.message.value("colours") == Message("picture.colours.deep-shadows")


def test_quiet_colours_are_held_by_every_card(tmp_path: Path) -> None:
    Image.new("RGB", (200, 200), (170, 160, 150)).save(tmp_path / "quiet.png", icc_profile=SRGB)
    assert check_picture(tmp_path / "quiet.png", cards=(card_of(craft_card()),)).findings == ()


def test_a_profile_that_imagecms_makes_is_not_odd(tmp_path: Path) -> None:
    own = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    assert saved(tmp_path / "a.png", photograph("chelsea.png"), icc_profile=own).findings == ()
