"""ICC profiles: our own working spaces, what a profile says of itself, colours and pictures through one."""

from tackside.profile.convert import convert_image_rgb, embedded_profile, rgb_to_lab_by_profile
from tackside.profile.inspect import describe, device_colour_space, profile_class, read_header
from tackside.profile.working_space import working_space_profile

__all__ = [
    "convert_image_rgb",
    "describe",
    "device_colour_space",
    "embedded_profile",
    "profile_class",
    "read_header",
    "rgb_to_lab_by_profile",
    "working_space_profile",
]
