"""A bench whose workbench may open a door on loopback, and a phone that calls it over a real socket."""

from __future__ import annotations

import re
import socket
from dataclasses import dataclass

import httpx
import pytest

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.web.phone.addresses import OwnAddress
from tackside.web.phone.door import PhoneDoor
from tackside.web.routes.prints import phone
from tests.web.workshop import SATIN, TestClient

LOOPBACK = OwnAddress("127.0.0.1", "lo", leads_out=True)


def on_loopback(monkeypatch: pytest.MonkeyPatch) -> None:
    """Loopback in place of a local network, as nothing outside may reach a test's door."""
    monkeypatch.setattr(phone, "own_addresses", lambda: (LOOPBACK,))


def new_and_good(bench: Bench) -> tuple[str, str]:
    """A trial that waits for its print, and one on the same card that was read and judged good."""
    lines, _ = bench.catalogue.trials(ListAsked(count=20))
    new = next(line.id for line in lines if not line.is_read)
    return new, next(line.id for line in lines if line.grade == "sell" and line.stock == SATIN.name)


@dataclass
class Phone:
    """A phone's browser: its cookies, and the door's address."""

    http: httpx.Client
    door: PhoneDoor

    def at(self, path: str) -> str:
        return f"/{self.door.token}/{path}"

    def enter(self, password: str | None = None) -> httpx.Response:
        page = self.http.get(self.at("")).text
        token = re.search(r'name="csrf" value="([0-9a-f]{64})"', page)
        assert token is not None, page
        given = self.door.password if password is None else password
        return self.http.post(self.at("enter"), data={"csrf": token[1], "password": given})

    def send(self, path: str, body: bytes, **headers: str) -> httpx.Response:
        named = {f"x-{name.replace('_', '-')}": value for name, value in headers.items()}
        return self.http.post(
            self.at(path), content=body, headers={"x-csrf-token": self.door.csrf, **named}, timeout=120.0
        )


def open_door(client: TestClient, trial: str, beside: str = "") -> PhoneDoor:
    """Press the button on the trial's page, as a person does."""
    answer = client.post(f"/trials/{trial}/phone", data={"beside": beside, "address": LOOPBACK.address})
    assert answer.status_code == 303, answer.text
    door = client.app.state.workbench.doorway.of(trial)  # type: ignore[attr-defined]
    assert isinstance(door, PhoneDoor)
    return door


def phone_for(door: PhoneDoor) -> Phone:
    return Phone(httpx.Client(base_url=f"http://{door.host}", trust_env=False, timeout=20.0), door)


def listens(address: str, port: int) -> bool:
    with socket.socket() as probe:
        probe.settimeout(2.0)
        return probe.connect_ex((address, port)) == 0
