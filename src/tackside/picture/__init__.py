"""One picture: opened safely, upright, and brought to size and space."""

from tackside.picture.open import MOST_PIXELS, Picture, open_picture
from tackside.picture.place import pixels_for

__all__ = ["MOST_PIXELS", "Picture", "open_picture", "pixels_for"]
