"""The page's interface is what its OpenAPI description says, and the description is valid."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]
from openapi_spec_validator import OpenAPIV31SpecValidator
from page_making import Client, own_store, served

SAMPLES = Path(__file__).parent.parent / "sample_audio"


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Client]:
    """Return a client of a page on which one sample song is open and heard."""
    with (
        pytest.MonkeyPatch.context() as patch,
        own_store(tmp_path_factory.mktemp("home"), patch),
        served(SAMPLES / "odd_lane.ogg") as entered,
    ):
        entered.until_heard()
        yield entered


@pytest.fixture(scope="module")
def told(client: Client) -> dict[str, Any]:
    """Return the description as it is served."""
    description: dict[str, Any] = client.get("/api/openapi.json")
    return description


def check(told: dict[str, Any], method: str, path: str, data: object, status: str = "200") -> None:
    """Hold an answer against the schema that the description gives for it."""
    content = told["paths"][path][method]["responses"][status]["content"]
    schema = {**content["application/json"]["schema"], "components": told["components"]}
    Draft202012Validator(schema).validate(data)


def test_the_description_is_valid(told: dict[str, Any]) -> None:
    """The description holds against the schema of OpenAPI 3.1 that its authors publish."""
    OpenAPIV31SpecValidator(told).validate()


def test_every_operation_says_what_it_does(told: dict[str, Any]) -> None:
    """Each operation has a summary, a name of its own and the shape of its answers."""
    names = []
    for path, operations in told["paths"].items():
        for method, operation in operations.items():
            assert len(operation["summary"]) > 3, f"{method} {path}"
            assert set(operation["responses"]) >= {"200", "400"}
            names.append(operation["operationId"])
    assert len(names) == len(set(names)) > 15


def test_answers_are_as_described(client: Client, told: dict[str, Any]) -> None:
    """Frame, list, folders, track and a change are answered as the description says."""
    (row,) = client.rows()
    track = f"/api/tracks/{row['id']}"
    check(told, "get", "/api/frame", client.get("/api/frame"))
    check(told, "get", "/api/music", client.get("/api/music"))
    check(told, "get", "/api/folders", client.get("/api/folders"))
    shown = client.get(track)
    check(told, "get", "/api/tracks/{key}", shown)
    body = {"revision": shown["revision"], "change": {"kind": "half"}}
    halved = client.post(f"{track}/change", body)
    check(told, "post", "/api/tracks/{key}/change", halved)
    undone = client.post(f"{track}/undo", {"revision": halved["revision"]})
    check(told, "post", "/api/tracks/{key}/undo", undone)
    stale = client.ask("POST", f"{track}/change", body | {"revision": "old"})
    assert stale.status == 409
    check(told, "post", "/api/tracks/{key}/change", stale.data, "409")
    wrong = client.ask("GET", "/api/tracks/none")
    assert wrong.status == 400
    check(told, "get", "/api/tracks/{key}", wrong.data, "400")


def test_a_query_is_held_to_its_types(client: Client) -> None:
    """A query with an unknown name or a value of another kind is refused in one sentence."""
    for query, seen in (
        ("limit=many", "limit 'many'"),
        ("nonsense=1", "nonsense"),
        ("sort=colour", "sort 'colour'"),
        ("descending=yes", "descending 'yes'"),
        ("from_bpm=nan", "from_bpm nan"),
    ):
        answer = client.ask("GET", f"/api/music?{query}")
        assert answer.status == 400
        assert seen in answer.data["error"]


def test_samples_and_levels_are_bytes(client: Client) -> None:
    """Sound comes as bytes, as many as were asked for; pieces that make no sense are refused."""
    (row,) = client.rows()
    track = f"/api/tracks/{row['id']}"
    sound = client.ask("GET", f"{track}/sound?first=1000&frames=2048")
    assert sound.headers["content-type"] == "application/octet-stream"
    assert len(sound.body) == 2048 * 4
    assert len(client.ask("GET", f"{track}/levels").body) == pytest.approx(6771, abs=2)
    for query in ("first=-1&frames=9", "first=0&frames=0", "first=0&frames=99999999", "first=0"):
        assert client.ask("GET", f"{track}/sound?{query}").status == 400
    assert client.ask("GET", f"{track}/sound?first=0&frames=9&speed=3").status == 400
