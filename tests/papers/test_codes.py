"""QR codes: what is in them is what was asked for."""

from __future__ import annotations

import io
import re

import segno

from firstcrop.papers.codes import MOST, qr_svg


def test_the_code_is_the_one_of_its_text_with_a_quiet_zone():
    text = "firstcrop run 4f\nalum “é”"
    svg = qr_svg(text).decode()
    code = segno.make(text, error="m", micro=False)
    size = code.symbol_size(border=4)[0]
    assert re.search(rf'width="{size}" height="{size}"', svg)
    own = io.BytesIO()
    code.save(own, kind="svg", border=4, xmldecl=False)
    assert own.getvalue().decode() == svg
    assert code.error in "MQH"  # medium at least
    assert qr_svg("another") != svg.encode()


def test_a_long_text_is_cut_and_still_fits():
    assert qr_svg("é" * 5000) == qr_svg("é" * MOST)
