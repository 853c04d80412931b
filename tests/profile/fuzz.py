"""Run by ``test_fuzz`` in a process of its own: damaged profiles through everything that opens profiles.

Prints one line a profile before it is tried, so that a crash of a native library names its cause. A profile may be
summarised or refused in one line; anything else is an error.
"""

from __future__ import annotations

import itertools
import struct
import sys
from collections.abc import Iterator
from datetime import date

import numpy as np

from tackside.errors import TacksideError
from tackside.profile.icc.summary import summarise
from tackside.profile.icc.working_space import working_space_profile
from tests.profile.small_profiles import cmyk_profile, grey_profile
from tests.profile.table_profiles import fogra39, invented_to_lab, lab_to_invented, printer


def seeds() -> dict[str, bytes]:
    paper = fogra39()[0]
    small = {
        f"printer v{version}": printer(
            b"RGB ",
            version,
            invented_to_lab,
            {"0": lab_to_invented, "1": lab_to_invented},
            paper,
            nodes=3,
            name="Small",
        )
        for version in (2, 4)
    }
    return {
        **small,
        "srgb": working_space_profile("srgb"),
        "grey": grey_profile(1.8),
        "cmyk": cmyk_profile(),
    }


def corpus(generator: np.random.Generator) -> Iterator[tuple[str, bytes]]:
    """Without end: every kind of damage to every seed, over and over."""
    originals = seeds()
    kinds = (truncated, random_bytes, flipped, wild_list, overlapping, header_noise, grown)
    number = 0
    while True:
        for name, profile in originals.items():
            for kind in kinds:
                yield f"{number} {kind.__name__} of {name}", kind(profile, generator)
                number += 1


def truncated(profile: bytes, generator: np.random.Generator) -> bytes:
    """Cut, and then honest about it: the size in the header is that of the rest."""
    cut = profile[: int(generator.integers(0, len(profile)))]
    return struct.pack(">I", len(cut)) + cut[4:] if generator.random() < 0.7 else cut


def random_bytes(profile: bytes, generator: np.random.Generator) -> bytes:
    """Noise behind a sound header."""
    noise = generator.bytes(int(generator.integers(0, 4000)))
    body = profile[: 128 if generator.random() < 0.5 else 140] + noise
    return struct.pack(">I", len(body)) + body[4:]


def flipped(profile: bytes, generator: np.random.Generator) -> bytes:
    """A few bytes changed, most of them where the structure is."""
    damaged = bytearray(profile)
    for _ in range(int(generator.integers(1, 12))):
        end = len(damaged) if generator.random() < 0.3 else min(len(damaged), 900)
        damaged[int(generator.integers(0, end))] = int(generator.integers(0, 256))
    return bytes(damaged)


def wild_list(profile: bytes, generator: np.random.Generator) -> bytes:
    """Lines of the list that point anywhere."""
    damaged = bytearray(profile)
    (count,) = struct.unpack_from(">I", profile, 128)
    for _ in range(int(generator.integers(1, 4))):
        line = 132 + 12 * int(generator.integers(0, count))
        place = int(generator.choice([0, 4, 128, 132, len(profile) - 8, len(profile), 2**31, 2**32 - 4]))
        size = int(generator.choice([0, 1, 8, 20, len(profile), 2**31, 2**32 - 1]))
        struct.pack_into(">II", damaged, line + 4, place, size)
    return bytes(damaged)


def overlapping(profile: bytes, generator: np.random.Generator) -> bytes:
    """All tags at one place: the list itself, or a table read as a curve, a name and a white."""
    damaged = bytearray(profile)
    (count,) = struct.unpack_from(">I", profile, 128)
    chosen = 132 + 12 * int(generator.integers(0, count))
    place = struct.unpack_from(">II", profile, chosen + 4) if generator.random() < 0.7 else (128, 12 * count)
    for number in range(count):
        if generator.random() < 0.7:
            struct.pack_into(">II", damaged, 132 + 12 * number + 4, *place)
    return bytes(damaged)


def header_noise(profile: bytes, generator: np.random.Generator) -> bytes:
    """Another class, space or version than the tags are made for."""
    damaged = bytearray(profile)
    damaged[8] = int(generator.choice([2, 4, 5]))
    damaged[12:16] = generator.choice(
        [b"mntr", b"prtr", b"scnr", b"link", b"spac", b"abst", b"nmcl", b"\0\0\0\0"]
    )
    damaged[16:20] = generator.choice([b"RGB ", b"CMYK", b"GRAY", b"Lab ", b"XYZ ", b"6CLR", b"HSV "])
    damaged[20:24] = generator.choice([b"Lab ", b"XYZ ", b"RGB ", b"Luv "])
    return bytes(damaged)


def grown(profile: bytes, generator: np.random.Generator) -> bytes:
    """Tables and curves that claim to be huge."""
    damaged = bytearray(profile)
    for signature in (b"mft1", b"mft2", b"mAB ", b"mBA ", b"curv", b"para", b"mluc", b"desc"):
        place = profile.find(signature, 132 + 12 * 8)
        if place < 0 or generator.random() < 0.5:
            continue
        at = place + 8 + int(generator.integers(0, 8))
        damaged[at : at + 2] = generator.bytes(2)
    return bytes(damaged)


def main(seed: int, count: int) -> None:
    refused = 0
    for name, profile in itertools.islice(corpus(np.random.default_rng(seed)), count):
        print(name, flush=True)
        try:
            summarise(profile, date(2026, 12, 1))
        except TacksideError as error:
            if "\n" in str(error):
                raise AssertionError("a refusal of more than one line") from error
            refused += 1
    print(f"done: {count} tried, {refused} refused")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
