"""Files that come in: streamed, bounded, known by content, never by what they are called."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tests.web.workshop import TestClient, client_of, token_in

BOUNDARY = "edge"


def waiting_trial(bench: Bench) -> str:
    return bench.trials.list()[-1].id


def part(name: str, data: bytes, file: str | None = None) -> bytes:
    named = f'; filename="{file}"' if file is not None else ""
    return (
        f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"{named}\r\n\r\n'.encode()
        + data
        + b"\r\n"
    )


def send(client: TestClient, path: str, body: bytes) -> int:
    headers = {"content-type": f"multipart/form-data; boundary={BOUNDARY}"}
    return client.post(path, content=body, headers=headers).status_code


def left_in(bench: Bench) -> list[Path]:
    return list((bench.folder / "incoming").glob("*"))


def test_a_file_is_kept_by_its_content_and_its_name_is_only_told(client: TestClient, bench: Bench) -> None:
    trial = waiting_trial(bench)
    answer = client.post(
        f"/trials/{trial}/read",
        files=[("files", ("../../etc/my scan.tif", b"II*\0 no real scan", "image/tiff"))],
    )
    assert answer.status_code == 303
    job = bench.jobs.list(kind="read")[0]
    kept = job.asked["files"][0]
    assert kept["name"] == "my scan.tif"
    assert bench.file(kept["sha256"]).read_bytes() == b"II*\0 no real scan"
    assert bench.file_name(kept["sha256"]) == "my scan.tif"
    assert left_in(bench) == []


def test_many_files_at_once_make_one_reading(client: TestClient, bench: Bench) -> None:
    trial = waiting_trial(bench)
    files = [("files", (f"panel {n}.tif", f"II*\0{n}".encode(), "image/tiff")) for n in range(5)]
    client.post(f"/trials/{trial}/read", files=files, data={"device": "flatbed"})
    (job,) = bench.jobs.list(kind="read")
    assert [each["name"] for each in job.asked["files"]] == [f"panel {n}.tif" for n in range(5)]
    assert job.asked["device"] == "flatbed"


def test_a_file_over_the_limit_is_refused_and_nothing_of_it_stays(bench: Bench) -> None:
    client = client_of(bench, largest_upload=1000)
    path = f"/trials/{waiting_trial(bench)}/read"
    assert client.post(path, files={"files": ("a.tif", b"x" * 1000)}).status_code == 303
    answer = client.post(path, files={"files": ("b.tif", b"x" * 1001)})
    assert answer.status_code == 422
    assert "b.tif is larger than" in answer.text
    assert left_in(bench) == []


@pytest.mark.parametrize("cut", [20, 120, 200, -3])
def test_an_upload_cut_off_half_way_is_refused_and_nothing_of_it_stays(
    client: TestClient, bench: Bench, cut: int
) -> None:
    body = part("files", b"II*\0" + b"x" * 200, "a.tif") + f"--{BOUNDARY}--\r\n".encode()
    before = bench.jobs.list()
    assert send(client, f"/trials/{waiting_trial(bench)}/read", body[:cut]) == 422
    assert left_in(bench) == []
    assert bench.jobs.list() == before


def test_no_file_is_written_before_the_token_is_there(bench: Bench) -> None:
    client = client_of(bench)
    del client.headers["x-csrf-token"]
    page = client.get(f"/trials/{waiting_trial(bench)}/read").text
    file, token = part("files", b"x" * 5000, "a.tif"), part("csrf", token_in(page).encode())
    path = f"/trials/{waiting_trial(bench)}/read"
    assert send(client, path, file + token + f"--{BOUNDARY}--\r\n".encode()) == 403
    assert send(client, path, token + file + f"--{BOUNDARY}--\r\n".encode()) == 303


def test_a_field_without_an_end_is_bounded(client: TestClient, bench: Bench) -> None:
    path = f"/trials/{waiting_trial(bench)}/read"
    assert send(client, path, part("device", b"x" * 400_000) + f"--{BOUNDARY}--\r\n".encode()) == 422
    assert client.post("/describe/stock", data={"notes": "x" * 400_000}).status_code == 422


def test_no_file_at_all_is_said_so(client: TestClient, bench: Bench) -> None:
    answer = client.post(f"/trials/{waiting_trial(bench)}/read", data={"device": "flatbed"})
    assert answer.status_code == 422
    assert "there is no file to read" in answer.text.lower()
