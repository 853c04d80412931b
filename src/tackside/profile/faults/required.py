"""Tags that a profile of its class must have, and their types.

Sources: ISO 15076-1:2010, clauses 8 and 9; for version 2, ICC.1:2001-04, 6.3 and 6.4.
"""

from __future__ import annotations

from collections.abc import Iterator

from tackside.messages.message import Message
from tackside.profile.faults.fault import ProfileFault
from tackside.profile.icc.inspect import Header

TABLES_OUT = ("A2B0", "A2B1", "A2B2")
TABLES_IN = ("B2A0", "B2A1", "B2A2")
MATRIX = ("rXYZ", "gXYZ", "bXYZ", "rTRC", "gTRC", "bTRC")
CURVES = ("rTRC", "gTRC", "bTRC", "kTRC")

OLD_TYPES = {
    "desc": ("desc",),
    "cprt": ("text",),
    **dict.fromkeys(CURVES, ("curv",)),
    **dict.fromkeys((*TABLES_OUT, *TABLES_IN, "gamt"), ("mft1", "mft2")),
}
NEW_TYPES = {
    "desc": ("mluc",),
    "cprt": ("mluc",),
    "chad": ("sf32",),
    **dict.fromkeys(CURVES, ("curv", "para")),
    **dict.fromkeys(TABLES_OUT, ("mft1", "mft2", "mAB ")),
    **dict.fromkeys((*TABLES_IN, "gamt"), ("mft1", "mft2", "mBA ")),
}
XYZ_TAGS = ("wtpt", "rXYZ", "gXYZ", "bXYZ")


def required_faults(header: Header, held: dict[str, memoryview]) -> Iterator[ProfileFault]:
    """``held``: signature → content of the tags that lie inside the profile."""
    for signature in required_tags(header, held):
        if signature not in held:
            yield ProfileFault("wrong", signature, Message("profile-fault.missing", tag=named(signature)))
    if _should_tell_adaptation(header) and "chad" not in held:
        # 8.2 asks for it where the colours were adapted, as those of nearly every display are.
        yield ProfileFault("doubtful", "chad", Message("profile-fault.no-adaptation"))
    expected = {**(OLD_TYPES if header.version[0] < 4 else NEW_TYPES), **dict.fromkeys(XYZ_TAGS, ("XYZ ",))}
    for signature, types in expected.items():
        if signature not in held or len(held[signature]) < 4:
            continue
        kind = bytes(held[signature][:4]).decode("latin-1")
        if kind not in types:
            shown = "".join(letter if letter.isprintable() else "?" for letter in kind).strip()
            yield ProfileFault(
                "wrong",
                signature,
                Message(
                    "profile-fault.wrong-type",
                    found=shown,
                    version=header.version[0],
                    wanted=tuple(one.strip() for one in types),
                ),
            )


def named(signature: str) -> Message:
    """What a tag is called for people."""
    return Message(f"profile-fault.tag.{signature.lower()}")


def required_tags(header: Header, held: dict[str, memoryview]) -> tuple[str, ...]:
    common = ("desc", "cprt", "wtpt")
    if header.profile_class == "device link":
        return ("desc", "cprt", "pseq", "A2B0")
    if header.profile_class == "named colour":
        return (*common, "ncl2")
    if header.profile_class == "abstract":
        return (*common, "A2B0")
    if header.profile_class == "colour space":
        return (*common, "A2B0", "B2A0")
    if header.profile_class == "unknown":
        return common
    if header.colour_space == "grey" and "A2B0" not in held:
        return (*common, "kTRC")
    if header.profile_class == "output":
        # Matrix printers do not exist in the standard: every output profile but a grey one has all tables.
        return (*common, *TABLES_OUT, *TABLES_IN, "gamt")
    if header.colour_space == "RGB" and "A2B0" not in held:
        return (*common, *MATRIX)
    return (*common, "A2B0") if header.profile_class == "input" else (*common, "A2B0", "B2A0")


def _should_tell_adaptation(header: Header) -> bool:
    return header.version[0] >= 4 and header.profile_class == "display"
