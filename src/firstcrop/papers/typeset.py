"""Set a template with rows and pictures. No text of a sheet is ever read as Typst markup: it goes
in as JSON and comes out as strings."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Mapping
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import typst

from firstcrop.problems import Problem

PACKAGE = "firstcrop.papers"


def typeset(
    template: str, data: Mapping[str, Any], pictures: Mapping[str, bytes] | None = None
) -> bytes | Problem:
    """The PDF of `template`.typ. `data` is JSON for it; `pictures` are files by name (SVG, PNG or
    JPEG). A Problem when Typst refuses, which a picture that is none can make it do."""
    with tempfile.TemporaryDirectory(prefix="firstcrop-") as name:
        folder = Path(name)
        with as_file(files(PACKAGE)) as ours:
            for source in ours.glob("*.typ"):
                shutil.copy(source, folder)
            shutil.copytree(ours / "pictograms", folder / "pictograms")
        (folder / "data.json").write_text(json.dumps(dict(data), ensure_ascii=False), "utf-8")
        for file, content in (pictures or {}).items():
            (folder / Path(file).name).write_bytes(content)
        try:
            made = typst.compile(folder / f"{template}.typ", root=folder, format="pdf")
        except typst.TypstError as error:
            return Problem("papers.unset", f"the {template} could not be set: {error}")
    assert isinstance(made, bytes)
    return made
