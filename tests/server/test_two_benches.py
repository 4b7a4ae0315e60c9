"""Two people, two servers, one database: every reading is there once, in each one's order."""

from __future__ import annotations

import warnings
from concurrent.futures import ThreadPoolExecutor

from firstcrop.notebook.book import find_run, verify
from firstcrop.server.app import make_app
from firstcrop.server.guard import Rules
from firstcrop.store.engine import Store, open_store
from server.test_bench import AT, LYE, Here

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

READINGS = 25


def bench(folder, url):
    app = make_app(folder, Rules(), Here(), url)
    return TestClient(app, base_url="http://127.0.0.1:8000")


def write(client, run: str, who: str) -> None:
    for n in range(READINGS):
        one = {"key": f"{who}-{n}", "kind": "temperature", "text": f"{20 + n} °C", "at": AT,
               "who": who, "step": 1}  # fmt: skip
        for _ in range(2):  # sent again, as after a lost answer
            answer = client.post(f"/api/runs/{run}/readings", json={"readings": [one]})
            assert answer.status_code == 200, answer.text


def begin(client, who: str) -> str:
    answer = client.post("/api/runs", json={"text": LYE, "name": "lye.md", "who": who})
    assert answer.status_code == 200, answer.text
    return answer.json()["id"]


def test_two_people_write_in_one_run_and_each_in_one_of_their_own(store_url, tmp_path):
    with bench(tmp_path, store_url) as one, bench(tmp_path, store_url) as two:
        shared, own = begin(one, "R. M."), begin(two, "A. B.")
        with ThreadPoolExecutor(3) as pool:
            work = ((one, shared, "R. M."), (two, shared, "A. B."), (two, own, "A. B."))
            for job in [pool.submit(write, *each) for each in work]:
                job.result()
        seen = [len(c.get(f"/api/runs/{shared}").json()["entries"]) for c in (one, two)]
        assert seen == [2 * READINGS, 2 * READINGS]
    store = open_store(store_url)
    assert isinstance(store, Store)
    for run, people in ((shared, ("R. M.", "A. B.")), (own, ("A. B.",))):
        found = find_run(store, run)
        assert isinstance(found, tuple)
        assert verify(store, run) is None
        for who in people:
            keys = [e.reading.key for e in found[1] if e.reading.who == who]
            assert keys == [f"{who}-{n}" for n in range(READINGS)]
    store.close()
