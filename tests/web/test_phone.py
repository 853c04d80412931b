"""The door for a phone, over real sockets: closed before, open with the yes alone, bounded, and closed again."""

from __future__ import annotations

import io
import time
from collections.abc import Iterator

import numpy as np
import pytest
from PIL import Image

from tackside.bench.store import Bench
from tackside.web.phone import door as doors
from tackside.web.phone.app import MOST_BYTES, SESSION_COOKIE
from tackside.web.phone.door import SILENCE_SECONDS, TRIED, PhoneDoor
from tackside.web.safety.guesses import MOST_FROM_ONE
from tests.heic import heic
from tests.picture.test_opening import png_that_claims
from tests.web.at_work import run_jobs
from tests.web.phone_bench import LOOPBACK, Phone, listens, new_and_good, on_loopback, open_door, phone_for
from tests.web.phone_photo import photo_of
from tests.web.workshop import TestClient

PAGES = ("/", "/trials", "/api/session", "/jobs", "/stocks", "/enter", "/preferences", "/api/openapi.json")


@pytest.fixture(autouse=True)
def _loopback(monkeypatch: pytest.MonkeyPatch) -> None:
    on_loopback(monkeypatch)
    monkeypatch.setattr(doors, "SILENCE_SECONDS", 600.0)  # a busy machine takes its time between two steps


@pytest.fixture
def door(client: TestClient, bench: Bench) -> Iterator[PhoneDoor]:
    found = open_door(client, *new_and_good(bench))
    yield found
    found.shut()


@pytest.fixture
def phone(door: PhoneDoor) -> Iterator[Phone]:
    made = phone_for(door)
    yield made
    made.http.close()


def jpeg(pixels: np.ndarray) -> bytes:
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=92)
    return out.getvalue()


def small(bench: Bench) -> bytes:
    """Two sheets too small to be told anything of."""
    plans = [bench.trials.get(each).sheet for each in new_and_good(bench)]
    return jpeg(photo_of(plans, px_per_mm=2.0))


def test_nothing_listens_before_the_yes(client: TestClient, bench: Bench) -> None:
    trial, _ = new_and_good(bench)
    page = client.get(f"/trials/{trial}/phone")
    assert page.status_code == 200
    assert "not encrypted" in page.text
    ports = range(doors.FIRST_PORT, doors.FIRST_PORT + TRIED)
    assert not [port for port in ports if listens(LOOPBACK.address, port)]
    # Nor for a page of another site, or without the page's own token.
    asked = {"beside": "", "address": LOOPBACK.address}
    bare = {"x-csrf-token": ""}
    assert client.post(f"/trials/{trial}/phone", data=asked, headers=bare).status_code == 403
    stranger = {"origin": "https://example.com"}
    assert client.post(f"/trials/{trial}/phone", data=asked, headers=stranger).status_code == 403
    assert client.app.state.workbench.doorway.of(trial) is None  # type: ignore[attr-defined]


def test_an_address_that_is_not_ours_is_refused(client: TestClient, bench: Bench) -> None:
    trial, _ = new_and_good(bench)
    for address in ("0.0.0.0", "192.0.2.7", "", "::"):
        answer = client.post(f"/trials/{trial}/phone", data={"beside": "", "address": address})
        assert answer.status_code == 422
        assert "no address of this computer" in answer.text
    answer = client.post(f"/trials/{trial}/phone", data={"beside": trial, "address": LOOPBACK.address})
    assert "cannot lie beside itself" in answer.text


def test_the_page_says_what_is_open_and_its_code_holds_the_address(
    client: TestClient, door: PhoneDoor
) -> None:
    """The QR code is read back by a decoder that is not the one that drew it (zxing-cpp, ISO/IEC 18004)."""
    import zxingcpp

    page = client.get(f"/trials/{door.trial}/phone").text
    assert door.host in page
    assert door.password in page
    assert "not encrypted" in page
    svg = page[
        page.index("<svg", page.index('class="code"')) : page.index("</svg>", page.index('class="code"')) + 6
    ]
    drawn = Image.open(io.BytesIO(_drawn(svg)))
    assert [each.text for each in zxingcpp.read_barcodes(np.asarray(drawn.convert("RGB")))] == [door.url]


def _drawn(svg: str) -> bytes:
    import pyvips

    return bytes(pyvips.Image.svgload_buffer(svg.encode(), scale=8).flatten(background=255).pngsave_buffer())


def test_a_phone_sees_its_page_and_nothing_else(door: PhoneDoor, phone: Phone) -> None:
    for path in PAGES:
        assert phone.http.get(path).status_code == 404
    assert phone.http.get(f"/{'x' * len(door.token)}/").status_code == 404
    assert phone.http.post("/trials", data={}).status_code == 404
    shown = phone.http.get(phone.at(""))
    assert shown.status_code == 200
    assert door.trial not in shown.text  # before the password not even what it is about
    assert "default-src 'none'" in shown.headers["content-security-policy"]
    assert shown.headers["referrer-policy"] == "same-origin"  # the token stands in the address
    assert phone.http.get(phone.at("state")).status_code == 404
    assert phone.send("look", b"x").status_code == 401
    assert phone.enter().status_code == 303
    guide = phone.http.get(phone.at(""))
    assert door.trial in guide.text
    assert str(door.beside) in guide.text
    for path in PAGES:  # nor after it
        assert phone.http.get(path).status_code == 404
    for asset in ("js/bench.js", "js/htmx.min.js", "css/parts.css"):
        assert phone.http.get(f"/assets/{asset}").status_code == 404
    linked = [part.split('"')[0] for part in guide.text.split('="/assets/')[1:]]
    assert linked
    assert all(phone.http.get(f"/assets/{each}").status_code == 200 for each in linked)


@pytest.mark.parametrize(
    "host", ["localhost:{port}", "example.com", "example.com:{port}", "127.0.0.1", "[::1]:{port}"]
)
def test_another_name_is_not_answered(phone: Phone, door: PhoneDoor, host: str) -> None:
    answer = phone.http.get(phone.at(""), headers={"host": host.format(port=door.port)})
    assert answer.status_code == 421
    assert "csrf" not in answer.text


def test_a_page_of_another_site_cannot_enter_or_send(phone: Phone) -> None:
    assert phone.enter().status_code == 303
    sent = {"origin": "http://example.com", "x-csrf-token": phone.door.csrf}
    assert phone.http.post(phone.at("send"), content=b"x", headers=sent).status_code == 403
    assert (
        phone.http.post(phone.at("send"), content=b"x", headers={"x-csrf-token": "0" * 64}).status_code == 403
    )
    assert phone.http.post(phone.at("enter"), data={"password": phone.door.password}).status_code == 403


def test_wrong_passwords_are_bounded(client: TestClient, door: PhoneDoor, phone: Phone) -> None:
    for _ in range(MOST_FROM_ONE):
        assert phone.enter("wrong").status_code == 403
    blocked = phone.enter()  # the right one, too late
    assert blocked.status_code == 429
    assert int(blocked.headers["retry-after"]) > 200
    assert SESSION_COOKIE not in phone.http.cookies
    door.wrong = doors.MOST_WRONG  # from many addresses together
    assert phone.http.get(phone.at("")).status_code == 410
    assert client.app.state.workbench.doorway.of(door.trial) is None  # type: ignore[attr-defined]


def test_a_password_typed_by_a_thumb_is_taken(phone: Phone) -> None:
    typed = f" {phone.door.password.upper()[:3]} {phone.door.password[3:]} "
    assert phone.enter(typed).status_code == 303


def test_it_closes_when_the_page_falls_silent(
    client: TestClient, door: PhoneDoor, phone: Phone, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert SILENCE_SECONDS == 20.0
    monkeypatch.setattr(doors, "SILENCE_SECONDS", 5.0)
    for _ in range(8):  # while it speaks it stays
        assert client.post(f"/trials/{door.trial}/phone/here").status_code == 200
        time.sleep(1.0)
    assert phone.http.get(phone.at("")).status_code == 200
    phone.http.close()
    assert _gone(door)
    assert "It is closed to the network" in client.post(f"/trials/{door.trial}/phone/here").text


def test_it_closes_at_a_press_and_after_half_an_hour(client: TestClient, door: PhoneDoor) -> None:
    assert client.post(f"/trials/{door.trial}/phone/close").status_code == 303
    assert _gone(door)
    now = [0.0]
    late = PhoneDoor(door.trial, None, LOOPBACK.address, clock=lambda: now[0])
    for now[0] in np.arange(0.0, doors.LONGEST_SECONDS, 10.0):
        late.heard()
        assert late.is_open
    now[0] = doors.LONGEST_SECONDS + 1
    late.heard()
    assert not late.is_open


def test_another_trials_door_shuts_the_one_before(client: TestClient, bench: Bench, door: PhoneDoor) -> None:
    _, good = new_and_good(bench)
    other = open_door(client, good)
    try:
        assert not door.is_open
        with phone_for(other).http as behind:  # perhaps on the very same port
            assert behind.get(f"/{door.token}/").status_code == 404
            assert behind.get(f"/{other.token}/").status_code == 200
    finally:
        other.shut()


def test_it_closes_with_the_workbench(client: TestClient, bench: Bench) -> None:
    with client:
        door = open_door(client, *new_and_good(bench))
        assert listens(LOOPBACK.address, door.port)
    assert _gone(door)


def test_what_is_wrong_is_told_before_it_is_sent(bench: Bench, phone: Phone) -> None:
    phone.enter()
    told = phone.send("look", small(bench), name="a.jpg", full_width="838").json()
    assert told["ready"] is False
    assert told["faults"][0]["hinders"]
    assert told["faults"][0]["what"].endswith(".")
    assert told["faults"][0]["fix"]
    assert not bench.jobs.list(kind="photo")
    assert not list((bench.folder / "incoming").iterdir())


def test_what_is_no_picture_costs_one_line(bench: Bench, phone: Phone) -> None:
    phone.enter()
    for body in (b"words", b"\xff\xd8\xff broken"):
        answer = phone.send("look", body, name="IMG%20%3Cb%3E.jpg")
        assert answer.status_code == 422
        assert set(answer.json()) == {"what", "fix"}
    assert phone.send("look", b"").status_code == 422
    assert not list((bench.folder / "incoming").iterdir())


def test_more_pixels_than_a_phone_takes_are_not_opened(phone: Phone, monkeypatch: pytest.MonkeyPatch) -> None:
    from tackside.web.phone import app

    monkeypatch.setattr(app, "look_at_photo", lambda *_, **__: pytest.fail("it was opened"))
    phone.enter()
    for path in ("look", "send"):
        answer = phone.send(path, png_that_claims(20_000, 10_000), name="a.png")
        assert answer.status_code == 422
        assert "20,000" in answer.json()["what"] or "20000" in answer.json()["what"]


def test_a_body_without_end_is_cut(phone: Phone, bench: Bench) -> None:
    phone.enter()
    megabyte = b"\xff\xd8\xff" + bytes(1024 * 1024)

    def endless() -> Iterator[bytes]:
        for _ in range(MOST_BYTES // len(megabyte) + 8):
            yield megabyte

    answer = phone.http.post(
        phone.at("look"), content=endless(), headers={"x-csrf-token": phone.door.csrf}, timeout=60.0
    )
    assert answer.status_code == 422
    assert "64" in answer.json()["what"]
    assert not list((bench.folder / "incoming").iterdir())


@pytest.mark.slow
def test_a_photograph_is_read_and_the_desk_leads_on(client: TestClient, bench: Bench, phone: Phone) -> None:
    trial, good = new_and_good(bench)
    taken = jpeg(photo_of([bench.trials.get(trial).sheet, bench.trials.get(good).sheet], lift=0.02))
    phone.enter()
    assert phone.send("look", taken, name="a.jpg").json()["ready"] is True
    assert phone.send("send", taken, name="a.jpg").json()["state"] == "reading"
    assert "being read" in client.post(f"/trials/{trial}/phone/here").text
    [job] = run_jobs(bench)
    assert job.state == "done", job.fault
    here = client.post(f"/trials/{trial}/phone/here")
    assert "hx-redirect" not in here.headers  # the phone has not been told yet
    told = phone.http.get(phone.at("state")).json()
    assert told["state"] == "done"
    assert len(told["lines"]) == 3
    assert "photograph" in told["limits"]
    here = client.post(f"/trials/{trial}/phone/here")
    assert here.headers["hx-redirect"] == f"/trials/{trial}"
    assert _gone(phone.door)
    shown = client.get(f"/trials/{trial}").text
    assert "The colours come from a photograph" in shown
    assert bench.readings.standing(trial).kind == "photo"


@pytest.mark.slow
def test_a_heic_is_shown_by_the_workbench_where_the_phone_cannot(bench: Bench, phone: Phone) -> None:
    plans = [bench.trials.get(each).sheet for each in new_and_good(bench)]
    stored = np.rot90(photo_of(plans, px_per_mm=6.0))
    phone.enter()
    told = phone.send(
        "look", heic(stored, orientation=6, quality=90), name="IMG_1.HEIC", needs_preview="1"
    ).json()
    assert told["preview"] is True
    assert told["size"][0] > told["size"][1]
    assert len(told["sheets"]) == 2
    shown = phone.http.get(phone.at("preview.jpg"))
    assert shown.headers["content-type"] == "image/jpeg"
    assert Image.open(io.BytesIO(shown.content)).size[0] == 1200


def _gone(door: PhoneDoor) -> bool:
    """Whether nothing listens there any more, within ten seconds."""
    for _ in range(100):
        if not door.is_open and not listens(door.address, door.port):
            return True
        time.sleep(0.1)
    return False
