"""QR codes (ISO/IEC 18004) as SVG."""

from __future__ import annotations

import io

import segno

MOST = 1200  # characters


def qr_svg(text: str) -> bytes:
    """The code of a text, medium error correction, with its quiet zone. Longer texts are cut."""
    out = io.BytesIO()
    segno.make(text[:MOST], error="m", micro=False).save(out, kind="svg", border=4, xmldecl=False)
    return out.getvalue()
