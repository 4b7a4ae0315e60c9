"""Kernels compile where nothing can be cached, and a stale cache is not used."""

from __future__ import annotations

import numba

from firstcrop.liquor import compiled


def test_no_folder_for_the_cache(monkeypatch):
    """Numba raises RuntimeError when no cache folder can be written; the kernel still works."""
    real = numba.njit

    def unwritable(*args, cache=False, **options):
        if cache:
            raise RuntimeError("cannot cache function: no locator available")
        return real(*args, **options)

    monkeypatch.setattr(compiled.numba, "njit", unwritable)
    assert compiled.entry(lambda x: 2.0 * x)(3.0) == 6.0


def test_cache_is_emptied_when_a_kernel_changes(tmp_path):
    for folder in ("liquor/__pycache__", "laws"):
        (tmp_path / folder).mkdir(parents=True)
    source, old = tmp_path / "laws" / "law.py", tmp_path / "liquor" / "__pycache__" / "k.nbi"
    source.write_text("one")
    compiled._empty_stale_cache(tmp_path)
    old.write_text("compiled")
    compiled._empty_stale_cache(tmp_path)
    assert old.exists()
    source.write_text("two")
    compiled._empty_stale_cache(tmp_path)
    assert not old.exists()
