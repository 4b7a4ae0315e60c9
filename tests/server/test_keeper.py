"""The database of a folder is opened once, by whoever asks first."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from firstcrop.problems import Problem
from firstcrop.server.keeper import Keeper
from firstcrop.store.engine import Store


def test_many_ask_and_one_database_is_opened(tmp_path):
    keeper = Keeper(tmp_path)
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(lambda _: keeper.store(), range(8)))
    assert isinstance(found[0], Store)
    assert all(store is found[0] for store in found)
    assert (tmp_path / "firstcrop.db").is_file()
    keeper.close()
    assert keeper.opened is None


def test_a_database_that_cannot_be_had_is_a_problem_and_is_tried_again(tmp_path):
    keeper = Keeper(tmp_path, f"sqlite:///{tmp_path}/none/x.db")
    assert isinstance(keeper.store(), Problem)
    (tmp_path / "none").mkdir()
    assert isinstance(keeper.store(), Store)
    keeper.close()
