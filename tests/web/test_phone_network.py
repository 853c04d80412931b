"""From another machine: a network namespace of its own, joined by a cable of two ends, plays the phone's side."""

from __future__ import annotations

import os
import secrets
import shutil
import subprocess
import sys
from collections.abc import Iterator

import pytest

from tackside.bench.store import Bench
from tackside.web.phone import door as doors
from tackside.web.phone.addresses import own_addresses
from tackside.web.phone.door import PhoneDoor
from tests.web.phone_bench import listens, new_and_good
from tests.web.workshop import TestClient

DESK, PHONE = "10.213.77.1", "10.213.77.2"
CALL = "import sys, urllib.request as u; print(u.build_opener(u.ProxyHandler({})).open(sys.argv[1], timeout=10).read())"


def _ip(*words: str) -> bool:
    return subprocess.run(["ip", *words], capture_output=True, check=False).returncode == 0


@pytest.fixture
def namespace() -> Iterator[str]:
    if shutil.which("ip") is None or os.name != "posix" or os.geteuid() != 0:
        pytest.skip("no network namespaces here")
    name = f"tackside-{secrets.token_hex(3)}"
    here, there = f"tsh{name[-6:]}", f"tst{name[-6:]}"
    if not _ip("netns", "add", name):
        pytest.skip("no network namespaces here")
    try:
        if not _ip("link", "add", here, "type", "veth", "peer", "name", there, "netns", name):
            pytest.skip("no network namespaces here")
        assert _ip("addr", "add", f"{DESK}/24", "dev", here)
        assert _ip("link", "set", here, "up")
        for words in (("addr", "add", f"{PHONE}/24", "dev", there), ("link", "set", there, "up")):
            assert _ip("netns", "exec", name, "ip", *words)
        yield name
    finally:
        _ip("netns", "del", name)
        _ip("link", "del", here)


def _call(namespace: str, url: str) -> subprocess.CompletedProcess[str]:
    command = ["ip", "netns", "exec", namespace, sys.executable, "-I", "-c", CALL, url]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)


def test_a_phone_on_the_network_reaches_it_only_while_it_is_open(
    client: TestClient, bench: Bench, namespace: str
) -> None:
    trial, good = new_and_good(bench)
    assert DESK in {each.address for each in own_addresses()}
    closed = _call(namespace, f"http://{DESK}:{doors.FIRST_PORT}/")
    assert "refused" in closed.stderr
    answer = client.post(f"/trials/{trial}/phone", data={"beside": good, "address": DESK})
    assert answer.status_code == 303, answer.text
    door = client.app.state.workbench.doorway.of(trial)  # type: ignore[attr-defined]
    assert isinstance(door, PhoneDoor)
    try:
        found = _call(namespace, door.url)
        assert found.returncode == 0, found.stderr
        assert "password" in found.stdout
        assert "404" in _call(namespace, f"http://{door.host}/trials").stderr
        # On that address alone, not on all of them.
        assert not listens("127.0.0.1", door.port)
        client.post(f"/trials/{trial}/phone/close")
        assert "refused" in _call(namespace, door.url).stderr
    finally:
        door.shut()


def test_no_public_address_and_no_loopback_is_offered() -> None:
    import ipaddress

    for each in own_addresses():
        number = ipaddress.ip_address(each.address.partition("%")[0])
        assert not number.is_loopback
        assert not number.is_global
