"""The HTTP API: documented, and no request whatever makes it stumble."""

from __future__ import annotations

import warnings
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from tackside.bench.store import Bench
from tackside.web.app import create_app
from tackside.web.workbench import Options
from tests.extent import share
from tests.web.workshop import CRAFT, SATIN, TestClient, furnish

with warnings.catch_warnings():  # of the client, as in workshop.py
    warnings.simplefilter("ignore")
    import schemathesis
    from schemathesis.checks import not_a_server_error, response_schema_conformance
    from schemathesis.openapi.loaders import from_asgi

EXAMPLES = 5


def test_the_api_says_what_it_takes_and_gives(client: TestClient) -> None:
    document = client.get("/api/openapi.json").json()
    assert document["openapi"].startswith("3.")
    operations = [way for path in document["paths"].values() for way in path]
    assert len(operations) > 40
    assert any(name.startswith("Stock") for name in document["components"]["schemas"])


def test_a_record_goes_in_and_comes_back(client: TestClient, bench: Bench) -> None:
    record = CRAFT.model_copy(update={"name": "Knot 7"}).model_dump(mode="json")
    assert client.put("/api/stocks", json=record, params={"after": 0}).json() == {
        "name": "Knot 7", "revision": 1, "new": True,
    }  # fmt: skip
    assert client.get("/api/stocks/Knot%207").json()["stock"] == record
    late = client.put("/api/stocks", json={**record, "notes": "x"}, params={"after": 0})
    assert late.status_code == 409
    told = late.json()
    assert set(told) == {"what", "mend", "code", "values", "place"}
    assert (told["code"], told["values"]) == ("bench.stock-there-already", {"name": "Knot 7"})
    assert client.get("/api/fit", params={"stock": SATIN.name, "printer": "Tern 8"}).json()["feed"] == "rear"
    trial = bench.trials.list()[0].id
    assert client.get(f"/api/trials/{trial}/verdict").json()["grade"] == bench.verdicts.standing(trial).grade
    assert client.get("/api/trials", params={"stage": "judged"}).json()["total"] == 2
    noted = client.put(f"/api/trials/{trial}/settings", json={"quality": "High"}, params={"after": 1})
    assert noted.json()["revision"] == 2


def test_a_fault_comes_with_its_code_its_values_and_its_place(client: TestClient) -> None:
    record = CRAFT.model_copy(update={"name": "Knot 7"}).model_dump(mode="json")
    answer = client.put("/api/stocks", json={**record, "open_size_mm": [210, -3]})
    place = {"record": "stock", "path": ["open_size_mm", 1]}
    assert answer.status_code == 422
    assert answer.json() == {
        "code": "record.length-not-above",
        "values": {"field": place, "given_mm": -3, "limit_mm": 0},
        "what": "open_size_mm (height) is −3 mm",
        "mend": "it must be more than 0 mm",
        "place": place,
    }
    asked = client.get("/api/stocks", params={"count": 1000}).json()
    assert (asked["code"], asked["place"]) == ("record.above", {"record": "address", "path": ["count"]})


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")  # the tester's own
def test_no_request_whatever_makes_a_server_error(tmp_path_factory: pytest.TempPathFactory) -> None:
    bench = furnish(tmp_path_factory.mktemp("api") / "bench")
    app = create_app(bench.folder, Options(keep_jobs=False))
    with TestClient(app, base_url="http://127.0.0.1", follow_redirects=False) as client:
        token = client.get("/api/session").json()["csrf"]
        cookie = client.cookies["tackside_seat"]
    headers = {"host": "127.0.0.1", "x-csrf-token": token, "cookie": f"tackside_seat={cookie}"}
    schema = from_asgi("/api/openapi.json", app, headers={"host": "127.0.0.1"})
    operations = [found.ok() for found in schema.get_all_operations()]
    assert len(operations) > 40
    known = {"trial_id": bench.trials.list()[0].id, "key": CRAFT.name}
    for operation in share(operations, 2):
        _try_out(operation, headers, {})
        names = {each.name for each in operation.path_parameters}
        if names and names <= set(known):  # again with what the bench holds, so that more than a 404 is met
            _try_out(operation, headers, {"path_parameters": {name: known[name] for name in names}})


def _try_out(operation: Any, headers: dict[str, str], at: dict[str, Any]) -> None:
    checks = [not_a_server_error]
    if operation.path.startswith("/api"):
        checks.append(response_schema_conformance)

    @settings(max_examples=EXAMPLES, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(case=operation.as_strategy(**at))
    def try_it(case: schemathesis.Case) -> None:
        case.validate_response(case.call(headers=headers), checks=checks)

    try_it()
