"""A PDF that a scanner made is taken apart into its pages' pictures; one that it did not make is told so."""

from __future__ import annotations

import io
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pytest
import pyvips
from PIL import Image

from tackside.errors import BadImage
from tackside.profile.icc.inspect import LARGEST_BYTES
from tackside.profile.icc.working_space import working_space_profile
from tackside.reading.document.pages import ScannedPage, scanned_pages
from tackside.reading.scan.image_file import jpeg_quality, open_scan
from tests.reading.document.pdfs import add_page, as_flate, as_jpeg, image, jpeg, scanned_pdf, speckled
from tests.refusals import refused


def pages_of(document: pikepdf.Pdf, tmp_path: Path) -> list[ScannedPage]:
    document.save(tmp_path / "scan.pdf")
    return list(scanned_pages(tmp_path / "scan.pdf", "scan.pdf"))


def opened(page: ScannedPage, tmp_path: Path) -> pyvips.Image:
    file = tmp_path / f"page{page.suffix}"
    file.write_bytes(page.data)
    return pyvips.Image.new_from_file(str(file))


@pytest.mark.parametrize("ppi", [150, 300, 600])
def test_a_page_becomes_a_picture_of_its_stated_size(tmp_path: Path, ppi: int) -> None:
    pixels = speckled()
    scanned_pdf(tmp_path / "scan.pdf", [pixels, pixels], ppi)
    found = list(scanned_pages(tmp_path / "scan.pdf", "scan.pdf"))
    assert [page.number for page in found] == [1, 2]
    for page in found:
        assert page.fault is None
        scan = tmp_path / f"page{page.suffix}"
        scan.write_bytes(page.data)
        assert open_scan(scan).stated_ppi == pytest.approx(ppi)


def test_a_jpeg_keeps_its_own_packing_and_quality(tmp_path: Path) -> None:
    packed = jpeg(speckled(), 80)
    document = pikepdf.new()
    add_page(document, [as_jpeg(document, packed, (240, 320))], (57.6, 76.8))
    (page,) = pages_of(document, tmp_path)
    assert page.suffix == ".jpg"
    assert jpeg_quality(page.data) == 80
    ours, theirs = (np.asarray(Image.open(io.BytesIO(data))) for data in (page.data, packed))
    assert np.array_equal(ours, theirs)


@pytest.mark.parametrize("bits", [8, 16])
def test_what_is_packed_without_loss_stays_so(tmp_path: Path, bits: int) -> None:
    pixels = speckled(bits=bits)
    document = pikepdf.new()
    add_page(document, [as_flate(document, pixels)], (57.6, 76.8))
    (page,) = pages_of(document, tmp_path)
    assert page.suffix == ".tif"
    assert np.array_equal(opened(page, tmp_path).numpy(), pixels)
    assert opened(page, tmp_path).xres * 25.4 == pytest.approx(300)


@pytest.mark.parametrize(
    "how", [as_flate, lambda pdf, pixels, **more: as_jpeg(pdf, jpeg(pixels), (240, 320), **more)]
)
def test_the_pages_profile_comes_along(tmp_path: Path, how: object) -> None:
    profile = working_space_profile("adobe-rgb")
    document = pikepdf.new()
    space = pikepdf.Array([pikepdf.Name.ICCBased, pikepdf.Stream(document, profile, N=3)])
    assert callable(how)
    add_page(document, [how(document, speckled(), ColorSpace=space)], (57.6, 76.8))
    (page,) = pages_of(document, tmp_path)
    assert opened(page, tmp_path).get("icc-profile-data") == profile


def test_a_page_in_whole_points_is_the_scanners_resolution(tmp_path: Path) -> None:
    """210 × 297 mm are 595.276 × 841.890 pt, and mostly stated as 595 × 842."""
    document = pikepdf.new()
    add_page(document, [as_jpeg(document, jpeg(speckled(620, 877)), (620, 877))], (595, 842))
    (page,) = pages_of(document, tmp_path)
    assert opened(page, tmp_path).xres * 25.4 == pytest.approx(75)


@pytest.mark.parametrize(("unit", "ppi"), [(1.0, 300.0), (2.0, 150.0)])
def test_the_pages_unit_counts(tmp_path: Path, unit: float, ppi: float) -> None:
    """UserUnit: ISO 32000-1, table 30, in multiples of 1/72 inch."""
    document = pikepdf.new()
    add_page(document, [as_flate(document, speckled())], (57.6, 76.8), UserUnit=unit)
    (page,) = pages_of(document, tmp_path)
    assert opened(page, tmp_path).xres * 25.4 == pytest.approx(ppi)


def test_a_page_that_was_scaled_states_no_resolution(tmp_path: Path) -> None:
    """Fitted to another page by 4 %, its size would be taken for the print's."""
    document = pikepdf.new()
    add_page(document, [as_jpeg(document, jpeg(speckled()), (240, 320))], (57.6 * 0.96, 76.8 * 0.96))
    (page,) = pages_of(document, tmp_path)
    scan = tmp_path / "page.jpg"
    scan.write_bytes(page.data)
    assert open_scan(scan).stated_ppi is None


def test_a_picture_inside_a_form_is_found(tmp_path: Path) -> None:
    document = pikepdf.new()
    form = pikepdf.Stream(
        document, b"q 2 0 0 2 0 0 cm /Im0 Do Q", Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form,
        Matrix=[28.8, 0, 0, 38.4, 0, 0],
        Resources=pikepdf.Dictionary(XObject=pikepdf.Dictionary(Im0=as_flate(document, speckled()))),
    )  # fmt: skip
    add_page(document, [form], (57.6, 76.8), "/Im0 Do")
    (page,) = pages_of(document, tmp_path)
    assert opened(page, tmp_path).xres * 25.4 == pytest.approx(300)


@pytest.mark.parametrize(
    ("content", "code"),
    [
        ("0 0 10 10 re f", "scan.pdf-drawn"),
        ("q 57.6 0 0 76.8 0 0 cm /Im0 Do Q 0 0 m 9 9 l S", "scan.pdf-drawn"),
        ("q 57.6 0 0 76.8 0 0 cm /Im0 Do Q BT /F0 9 Tf (a title) Tj ET", "scan.pdf-drawn"),
        ("q 57.6 0 0 76.8 0 0 cm /Im0 Do /Im0 Do Q", "scan.pdf-several-images"),
        ("q -57.6 0 0 76.8 57.6 0 cm /Im0 Do Q", "scan.pdf-flipped"),
        ("", "scan.pdf-empty-page"),
        ("q 57.6 0 0", "scan.pdf-empty-page"),
    ],
)
def test_other_pages_are_refused_each_in_its_words(tmp_path: Path, content: str, code: str) -> None:
    document = pikepdf.new()
    add_page(document, [as_flate(document, speckled())], (57.6, 76.8), content)
    add_page(document, [as_flate(document, speckled())], (57.6, 76.8))
    first, second = pages_of(document, tmp_path)
    assert first.fault is not None
    assert first.fault.message.code == code
    assert first.fault.message.value("page") == 1
    assert second.fault is None


def test_masks_and_black_and_white_are_refused(tmp_path: Path) -> None:
    document = pikepdf.new()
    mask = image(document, bytes(240 * 320), (240, 320), ColorSpace=pikepdf.Name.DeviceGray)
    add_page(document, [as_flate(document, speckled(), SMask=mask)], (57.6, 76.8))
    bare = image(
        document, bytes(30 * 320), (240, 320), ColorSpace=pikepdf.Name.DeviceGray, BitsPerComponent=1
    )
    add_page(document, [bare], (57.6, 76.8))
    codes = [page.fault and page.fault.message.code for page in pages_of(document, tmp_path)]
    assert codes == ["scan.pdf-several-images", "scan.pdf-black-and-white"]


def test_a_few_bytes_that_stand_for_gigabytes_are_refused(tmp_path: Path) -> None:
    document = pikepdf.new()
    huge = as_flate(document, np.zeros((2000, 2000, 3), np.uint8))
    huge.Width, huge.Height = 200, 200
    add_page(document, [huge], (48, 48))
    vast = as_flate(document, speckled())
    vast.Width, vast.Height = 100_000, 100_000
    add_page(document, [vast], (57.6, 76.8))
    codes = [page.fault and page.fault.message.code for page in pages_of(document, tmp_path)]
    assert codes == ["scan.pdf-page-damaged", "scan.too-many-pixels"]


def packed(document: pikepdf.Pdf, data: bytes, times: int = 1, **more: Any) -> pikepdf.Stream:
    for _ in range(times):
        data = zlib.compress(data, 9)
    how = [pikepdf.Name.FlateDecode] * times
    return pikepdf.Stream(document, data, Filter=pikepdf.Array(how), **more)


@pytest.mark.parametrize("times", [1, 2])
def test_packed_content_is_not_unpacked_to_its_end(tmp_path: Path, times: int) -> None:
    """64 MB of content in some 60 kB, or packed twice in fewer."""
    document = pikepdf.new()
    add_page(document, [as_flate(document, speckled())], (57.6, 76.8))
    document.pages[0].obj.Contents = packed(document, b"q Q " * 16_000_000, times)
    (page,) = pages_of(document, tmp_path)
    assert page.fault is not None
    assert page.fault.message.code == "scan.pdf-page-damaged"


def test_content_is_counted_as_often_as_it_is_painted(tmp_path: Path) -> None:
    """Eight forms that each paint the next ten times would be gone through a hundred million times."""
    document = pikepdf.new()
    add_page(document, [as_flate(document, speckled())], (57.6, 76.8))
    inner = document.pages[0].obj.Resources.XObject.Im0
    for _ in range(8):
        inner = packed(
            document, b"/X Do " * 10, Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form,
            Resources=pikepdf.Dictionary(XObject=pikepdf.Dictionary(X=document.make_indirect(inner))),
        )  # fmt: skip
    document.pages[0].obj.Resources.XObject.Im0 = document.make_indirect(inner)
    (page,) = pages_of(document, tmp_path)
    assert page.fault is not None
    assert page.fault.message.code == "scan.pdf-page-damaged"


def test_a_packed_profile_and_lzw_are_refused_unread(tmp_path: Path) -> None:
    document = pikepdf.new()
    vast = packed(document, bytes(LARGEST_BYTES + 1), N=3)
    space = pikepdf.Array([pikepdf.Name.ICCBased, document.make_indirect(vast)])
    add_page(document, [as_flate(document, speckled(), ColorSpace=space)], (57.6, 76.8))
    add_page(document, [image(document, b"\x80", (240, 320), Filter=pikepdf.Name.LZWDecode)], (57.6, 76.8))
    codes = [page.fault and page.fault.message.code for page in pages_of(document, tmp_path)]
    assert codes == ["scan.pdf-page-damaged"] * 2


def test_lists_of_objects_are_not_unpacked_to_their_end(tmp_path: Path) -> None:
    """A PDF's own list of where its objects are is packed too (ISO 32000-1, 7.5.8)."""
    rows = zlib.compress(bytes(5 * 8_000_000), 9)
    head = f"<</Type/XRef/Size 8000000/W[1 3 1]/Root 1 0 R/Filter/FlateDecode/Length {len(rows)}>>"
    body = (
        b"%PDF-1.5\n2 0 obj"
        + head.encode()
        + b"stream\n"
        + rows
        + b"\nendstream\nendobj\nstartxref\n9\n%%EOF\n"
    )
    (tmp_path / "list.pdf").write_bytes(body)
    with pytest.raises(BadImage) as caught:
        list(scanned_pages(tmp_path / "list.pdf", "list.pdf"))
    assert caught.value.message.code == "scan.pdf-damaged"


def test_files_that_do_not_open_are_one_fault(tmp_path: Path) -> None:
    document = pikepdf.new()
    add_page(document, [as_flate(document, speckled())], (57.6, 76.8))
    document.save(tmp_path / "locked.pdf", encryption=pikepdf.Encryption(owner="a", user="b"))
    with refused(BadImage, "scan.pdf-locked"):
        list(scanned_pages(tmp_path / "locked.pdf", "locked.pdf"))
    (tmp_path / "cut.pdf").write_bytes(b"%PDF-1.7\n" + bytes(range(256)))
    with refused(BadImage, "scan.pdf-damaged"):
        list(scanned_pages(tmp_path / "cut.pdf", "cut.pdf"))


def test_a_jpeg_cut_short_is_found_by_its_reader(tmp_path: Path) -> None:
    packed = jpeg(speckled())
    document = pikepdf.new()
    add_page(document, [as_jpeg(document, packed[: len(packed) // 2], (240, 320))], (57.6, 76.8))
    add_page(document, [as_jpeg(document, b"no JPEG", (240, 320))], (57.6, 76.8))
    cut, none = pages_of(document, tmp_path)
    scan = tmp_path / "cut.jpg"
    scan.write_bytes(cut.data)
    with refused(BadImage, "scan.damaged"):
        open_scan(scan)
    assert none.fault is not None
    assert none.fault.message.code == "scan.pdf-page-damaged"


def test_any_bytes_in_place_of_a_page_are_a_fault_in_words(tmp_path: Path) -> None:
    """A scanner's PDF with bytes overwritten: read, or refused in words, and nothing else."""
    scanned_pdf(tmp_path / "good.pdf", [speckled(200, 200)], 150)
    good = (tmp_path / "good.pdf").read_bytes()
    random = np.random.default_rng(11)
    for _ in range(60):
        bad = bytearray(good)
        for at in random.integers(0, len(bad), 40):
            bad[at] = random.integers(0, 256)
        (tmp_path / "bad.pdf").write_bytes(bad)
        try:
            list(scanned_pages(tmp_path / "bad.pdf", "bad.pdf"))
        except Exception as error:  # noqa: BLE001  any that is not ours fails
            assert type(error).__module__ == "tackside.errors", repr(error)  # noqa: PT017
