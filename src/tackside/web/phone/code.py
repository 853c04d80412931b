"""The address as a QR code, drawn to be photographed: black on white, whatever the page's colours are."""

from __future__ import annotations

import io

from markupsafe import Markup


def qr_code(url: str) -> Markup:
    """An SVG that scales with its box, with the four clear modules around that ISO/IEC 18004 asks for."""
    import segno  # kept off the start-up path

    out = io.BytesIO()
    segno.make(url, error="m", micro=False).save(
        out, kind="svg", xmldecl=False, svgns=True, omitsize=True, border=4, dark="#000", light="#fff", svgclass=None,
        lineclass=None, nl=False,
    )  # fmt: skip
    return Markup(out.getvalue().decode("ascii"))
