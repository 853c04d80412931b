"""A run file and a card file beside it, for the tests. All names are invented."""

from __future__ import annotations

from pathlib import Path

import skimage.data

# A photograph inside scikit-image's wheel, CC0 by its photographer (docstring of skimage.data.coffee).
PHOTOGRAPH = Path(skimage.data.__file__).parent / "coffee.png"
CARD = """
stock = "Harbour Satin 300"
printer = "Tern 8"
[[pictures]]
panel = "front"
file = "coffee.png"
border_mm = 12
"""
RUN = """
name = "Harbour fair"
currency = "GBP"
[[cards]]
name = "Boats"
file = "boats.toml"
quantity = 40
[inks."Tern 8"]
ml = 112
price = "128.00"
currency = "GBP"
"""
