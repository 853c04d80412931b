"""The profile's tags around its tables: words, white and black, viewing and measurement, the patches themselves.

Types by ISO 15076-1:2010 (clauses 9 and 10) for version 4, by ICC.1:2001-04 (6.4 and 6.5) for version 2
(docs/sources.md, S70); independent readers check their layout in the tests.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from datetime import datetime

import numpy as np

from tackside.colour.spaces import WHITE_D50, Floats
from tackside.profile.icc.working_space import (
    HEADER_SIZE,
    fixed,
    tag_table,
    text_in_english,
    with_profile_id,
    xyz_type,
)
from tackside.records.reading import MeasurementCondition

VERSIONS = {2: 0x02400000, 4: 0x04300000}
# ISO 3664 P2: prints judged by one person under 500 lx; the surround reflects a fifth (docs/sources.md, S108).
VIEWED_CD_M2 = 500 / np.pi
SURROUND = 0.2
D50, TWO_DEGREES, ANGLED = 1, 1, 1  # codes of standard illuminant, observer and the geometry 0°:45° or 45°:0°
INKJET = b"ijet"


def text(words: str, version: int) -> bytes:
    """A copyright: textType in version 2, multiLocalizedUnicodeType in 4."""
    return b"text\0\0\0\0" + _ascii(words) if version == 2 else text_in_english(words)


def description(words: str, version: int) -> bytes:
    """textDescriptionType in version 2, with what ASCII lacks in its Unicode part."""
    if version == 4:
        return text_in_english(words)
    plain, wide = _ascii(words), words.encode("utf-16-be") + b"\0\0"
    unicode_part = struct.pack(">II", 0, len(wide) // 2) + wide
    return struct.pack(">4s4xI", b"desc", len(plain)) + plain + unicode_part + bytes(70)


def viewing() -> bytes:
    """viewingConditionsType: D50 and its surround in cd/m²."""
    white = WHITE_D50 * VIEWED_CD_M2
    return b"view\0\0\0\0" + fixed(white) + fixed(white * SURROUND) + struct.pack(">I", D50)


def measurement() -> bytes:
    """measurementType: 2° observer, D50, 45°:0°, no flare; the backing is not known and stays zero."""
    return (
        b"meas\0\0\0\0"
        + struct.pack(">I", TWO_DEGREES)
        + fixed([0, 0, 0])
        + struct.pack(">3I", ANGLED, 0, D50)
    )


def technology() -> bytes:
    return b"sig \0\0\0\0" + INKJET


def unadapted() -> bytes:
    """chromaticAdaptationTag: the colours were measured under D50, nothing was adapted."""
    return b"sf32\0\0\0\0" + fixed(np.eye(3))


def patches_as_cgats(
    device: Floats, lab: Floats, names: Sequence[str], words: str, condition: MeasurementCondition | None
) -> bytes:
    """The measurements as CGATS.17 text (ISO 28178) in a textType: device numbers of 8 bits or per cent, CIELAB."""
    inks = device.shape[1] == 4
    fields = [f"{'CMYK' if inks else 'RGB'}_{letter}" for letter in ("CMYK" if inks else "RGB")]
    told = f'MEASUREMENT_SOURCE "{condition}"\n' if condition else ""
    head = (
        f'CGATS.17\nORIGINATOR "tackside"\nDESCRIPTOR "{_quoted(words)}"\n{told}'
        f"NUMBER_OF_FIELDS {4 + len(fields)}\nBEGIN_DATA_FORMAT\nSAMPLE_ID {' '.join(fields)} LAB_L LAB_A LAB_B\n"
        f"END_DATA_FORMAT\nNUMBER_OF_SETS {len(device)}\nBEGIN_DATA\n"
    )
    scale = 100 if inks else 255
    rows = (
        f"{_quoted(name).replace(' ', '_')} {' '.join(f'{scale * value:.2f}' for value in numbers)} "
        f"{colour[0]:.3f} {colour[1]:.3f} {colour[2]:.3f}\n"
        for name, numbers, colour in zip(names, device, lab, strict=True)
    )
    return b"text\0\0\0\0" + _ascii(head + "".join(rows) + "END_DATA\n")


def assembled(tags: Sequence[tuple[bytes, bytes]], *, version: int, space: bytes, made_at: datetime) -> bytes:
    """The profile of a printer (class ``prtr``) over CIELAB; ``made_at`` in coordinated universal time."""
    table, data = tag_table(tags)
    header = struct.pack(
        ">I4xI4s4s4s6H4s4xI4s4xQI12s4s44x",
        HEADER_SIZE + len(table) + len(data),
        VERSIONS[version],
        b"prtr",
        space,
        b"Lab ",
        *(made_at.year, made_at.month, made_at.day, made_at.hour, made_at.minute, made_at.second),
        b"acsp",
        0,  # not embedded, free to be used on its own
        bytes(4),
        0,  # reflective, glossy, positive, colour: what is not known is not claimed
        0,  # perceptual, unless a program is told otherwise
        fixed(WHITE_D50),
        bytes(4),
    )
    profile = header + table + data
    return profile if version == 2 else with_profile_id(profile)


def black(lab_xyz: Floats) -> bytes:
    """mediaBlackPointTag."""
    return xyz_type(lab_xyz)


def _ascii(words: str) -> bytes:
    """7-bit ASCII with its closing NUL; other letters become a question mark."""
    return words.encode("ascii", errors="replace") + b"\0"


def _quoted(words: str) -> str:
    return " ".join(words.replace('"', "'").split()) or "-"
