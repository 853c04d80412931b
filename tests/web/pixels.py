"""What a page has drawn with WebGL, brought over as bytes: as a list of numbers a frame takes seconds."""

from __future__ import annotations

import base64
from typing import Any

import numpy as np
from numpy.typing import NDArray

# To be called in the same task as the drawing, before the browser may clear what was drawn.
READ_PIXELS = """(gl) => {
  const { width, height } = gl.canvas, out = new Uint8Array(width * height * 4);
  gl.readPixels(0, 0, width, height, gl.RGBA, gl.UNSIGNED_BYTE, out);
  let text = "";
  for (let from = 0; from < out.length; from += 32768) text += String.fromCharCode(...out.subarray(from, from + 32768));
  return [width, height, btoa(text)];
}"""


def pixels_of(told: Any) -> NDArray[np.uint8]:
    """What READ_PIXELS returned, as (h, w, 3), the top row first."""
    width, height, text = told
    return np.frombuffer(base64.b64decode(text), np.uint8).reshape(height, width, 4)[::-1, :, :3]
