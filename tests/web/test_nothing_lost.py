"""What was typed stays typed: settings beside a scan, a card that was begun, an error in one field of many."""

from __future__ import annotations

import re
from urllib.parse import parse_qs, urlsplit

from tackside.bench.store import Bench
from tests.web.workshop import TestClient

SCAN = ("files", ("scan.tif", b"II*\0 no real scan", "image/tiff"))
PRINTER = {
    "name": "Knot 4", "ink_kind": "pigment", "grid_ppi": "300", "units": "mm", "feed0_name": "rear",
    "feed0_min_w": "80", "feed0_min_h": "80", "feed0_max_w": "210", "feed0_max_h": "500", "feed0_top": "3",
    "feed0_bottom": "3", "feed0_left": "3", "feed0_right": "3",
}  # fmt: skip


def waiting(bench: Bench) -> str:
    return bench.trials.list()[-1].id


def after_in(page: str) -> str:
    found = re.search(r'name="after" id="after" value="(\d+)"', page)
    assert found is not None
    return found[1]


def test_settings_typed_beside_a_scan_are_noted_with_it(client: TestClient, bench: Bench) -> None:
    trial = waiting(bench)
    page = client.get(f"/trials/{trial}/read").text
    assert page.count("<form method=") == 1
    typed = {"media_setting": "Photo satin", "drying_hours": "24", "after": after_in(page)}
    assert client.post(f"/trials/{trial}/read", data=typed, files=[SCAN]).status_code == 303
    assert bench.trials.get(trial).settings.media_setting == "Photo satin"
    assert len(bench.jobs.list(kind="read")) == 1
    assert len(bench.trials.settings_history(trial)) == 2


def test_the_same_settings_again_are_no_new_revision(client: TestClient, bench: Bench) -> None:
    trial = waiting(bench)
    page = client.get(f"/trials/{trial}/read").text
    client.post(f"/trials/{trial}/read", data={"after": after_in(page)}, files=[SCAN])
    assert len(bench.trials.settings_history(trial)) == 1


def test_a_setting_that_cannot_be_stays_in_its_field_and_nothing_is_read(
    client: TestClient, bench: Bench
) -> None:
    trial = waiting(bench)
    after = after_in(client.get(f"/trials/{trial}/read").text)
    typed = {
        "media_setting": "Matt",
        "drying_hours": "a day",
        "device": "Flatbed",
        "scanner": "",
        "after": after,
    }
    answer = client.post(f"/trials/{trial}/read", data=typed, files=[SCAN])
    assert answer.status_code == 422
    for kept in ('value="Matt"', 'value="a day"', 'value="Flatbed"'):
        assert kept in answer.text
    assert not bench.jobs.list(kind="read")


def test_without_a_file_the_settings_are_noted_all_the_same(client: TestClient, bench: Bench) -> None:
    trial = waiting(bench)
    after = after_in(client.get(f"/trials/{trial}/read").text)
    answer = client.post(f"/trials/{trial}/read", data={"quality": "Best", "after": after})
    assert answer.status_code == 422
    assert 'value="Best"' in answer.text
    assert "there is no file to read" in answer.text
    assert bench.trials.get(trial).settings.quality == "Best"


def test_what_another_noted_meanwhile_is_not_overwritten(client: TestClient, bench: Bench) -> None:
    trial = waiting(bench)
    after = after_in(client.get(f"/trials/{trial}/read").text)
    client.post(f"/trials/{trial}/settings", data={"quality": "Best", "after": after})
    answer = client.post(f"/trials/{trial}/read", data={"quality": "Draft", "after": after}, files=[SCAN])
    assert answer.status_code == 422
    assert 'value="Draft"' in answer.text
    assert bench.trials.get(trial).settings.quality == "Best"
    assert not bench.jobs.list(kind="read")


def test_a_printer_described_while_making_a_card_comes_back_with_all_that_was_typed(
    client: TestClient, bench: Bench
) -> None:
    begun = {
        "stock": "Harbour Satin 300",
        "fold": "top",
        "name": "Fair & square",
        "describe": "printer",
    }
    aside = client.post(
        "/make/card/aside", data=begun, files={"file": ("boats.jpg", b"\xff\xd8\xff", "image/jpeg")}
    )
    there = aside.headers["location"]
    (back,) = parse_qs(urlsplit(there).query)["back"]
    assert f'value="{back}"'.replace("&", "&amp;") in client.get(there).text
    kept = client.post("/describe/printer", data={**PRINTER, "back": back})
    page = client.get(kept.headers["location"]).text
    assert 'value="Fair &amp; square"' in page
    assert re.search(r"<option selected>Harbour Satin 300", page)
    assert re.search(r"<option selected>Knot 4", page)
    assert re.search(r'<option value="top" selected>', page)
    assert "boats.jpg" in page


def test_a_card_corrected_while_its_sheet_is_made_comes_back_to_the_fit(
    client: TestClient, bench: Bench
) -> None:
    there = "/test/fit?stock=Harbour%20Satin%20300&printer=Tern%208&side=back&space=adobe-rgb"
    page = client.get(there).text
    edit = re.search(r'href="(/stocks/[^"]*/edit\?back=[^"]*)"', page)
    assert edit is not None
    form = client.get(edit[1]).text
    values = dict(re.findall(r'<input[^>]*? name="(\w+)"[^>]*? value="([^"]*)"', form))
    values["back"] = values["back"].replace("&amp;", "&")
    kept = client.post("/stocks/Harbour%20Satin%20300/edit", data={**values, "coated": "front"})
    asked = parse_qs(urlsplit(kept.headers["location"]).query)
    assert urlsplit(kept.headers["location"]).path == "/test/fit"
    assert (asked["side"], asked["space"], asked["stock"]) == (["back"], ["adobe-rgb"], ["Harbour Satin 300"])


def test_nobody_is_sent_to_another_site_after_a_printer(client: TestClient) -> None:
    kept = client.post("/describe/printer", data={**PRINTER, "back": "//example.com/"})
    assert kept.headers["location"].startswith("/printers/Knot")
