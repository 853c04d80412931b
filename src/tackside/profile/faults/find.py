"""All faults of a profile, gravest first."""

from __future__ import annotations

from datetime import date

from tackside.profile.faults.curves import curve_faults
from tackside.profile.faults.fault import SEVERITIES, ProfileFault
from tackside.profile.faults.header import header_faults
from tackside.profile.faults.layout import layout_faults
from tackside.profile.faults.lookups import lookup_faults
from tackside.profile.faults.required import required_faults
from tackside.profile.faults.white import white_faults
from tackside.profile.icc.inspect import contents, read_header, read_tags


def find_faults(profile: bytes, today: date) -> tuple[ProfileFault, ...]:
    """The faults, gravest first; none is a good sign, not a promise. Raises BadProfile where nothing can be read.

    ``today`` dates a profile from the future. How the colours come out is the summary's matter, not this one's.
    """
    header, tags = read_header(profile), read_tags(profile)
    held = contents(tags)
    found = [
        *header_faults(profile, header, today),
        *layout_faults(profile, header, tags),
        *required_faults(header, held),
        *white_faults(header, held),
        *curve_faults(header, held),
        *lookup_faults(header, held),
    ]
    return tuple(sorted(found, key=lambda fault: SEVERITIES.index(fault.severity)))
