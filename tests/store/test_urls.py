"""Which database is used: the one named, the environment's, the folder's."""

from __future__ import annotations

import pytest

from firstcrop.problems import Problem
from firstcrop.store.urls import VARIABLE, chosen_url, default_url, exists, full_url


def test_the_nearest_word_wins(tmp_path, monkeypatch):
    monkeypatch.delenv(VARIABLE, raising=False)
    assert chosen_url(tmp_path) == default_url(tmp_path) == f"sqlite:///{tmp_path}/firstcrop.db"
    assert not exists(tmp_path)
    (tmp_path / "firstcrop.db").touch()
    assert exists(tmp_path)
    monkeypatch.setenv(VARIABLE, "postgresql://h/x")
    assert chosen_url(tmp_path) == "postgresql://h/x"
    assert chosen_url(tmp_path, "sqlite:///y") == "sqlite:///y"
    assert exists(tmp_path / "nowhere")


@pytest.mark.parametrize("scheme", ["postgres", "postgresql", "postgresql+psycopg"])
def test_postgresql_gets_its_driver(scheme):
    assert full_url(f"{scheme}://u@h/n") == "postgresql+psycopg://u@h/n"


@pytest.mark.parametrize("url", ["", "x", "mysql://h/n", "file.db", "http://h"])
def test_other_databases_are_refused(url):
    assert isinstance(full_url(url), Problem)
