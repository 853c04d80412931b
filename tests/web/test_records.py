"""Stocks, printers and trials: found, described, edited, put away and brought back; nothing is overwritten."""

from __future__ import annotations

import html
import re

import pytest

from tackside.bench.store import Bench
from tackside.errors import NotFound
from tackside.records import Settings, Stock
from tackside.web.shell.keys import key_of, name_of
from tackside.workflow.answers import soft_of
from tests.web.workshop import CRAFT, SATIN, TestClient, add_trial

STOCK = {
    "name": "Eider Pearl 260", "base": "photo", "weight_gsm": "260", "caliper_mm": "0,29", "width": "210",
    "height": "297", "crease_direction": "horizontal", "crease_at": "", "coated": "both", "pack_count": "20",
    "pack_price": "12.40", "pack_currency": "gbp", "units": "mm", "sold_for_inkjet": "yes",
}  # fmt: skip
PRINTER = {
    "name": "Skua 6", "ink_kind": "pigment", "ink_count": "6", "grid_ppi": "720", "units": "mm",
    "feed0_name": "rear", "feed0_min_w": "89", "feed0_min_h": "127", "feed0_max_w": "329", "feed0_max_h": "1000",
    "feed0_top": "3", "feed0_borderless": "210 x 297\n102x152",
}  # fmt: skip


def fault_beside(page: str, field: str) -> str:
    found = re.search(rf'id="{field}-fault".*?<span>(.*?)</span>', page, re.DOTALL)
    assert found is not None, f"nothing is said beside {field}, or not in the page's language"
    return html.unescape(found[1])


def test_a_described_stock_is_kept_as_it_was_typed(client: TestClient, bench: Bench) -> None:
    answer = client.post("/describe/stock", data=STOCK)
    assert answer.headers["location"] == "/stocks/Eider%20Pearl%20260?kept=1"
    kept = bench.stocks.get("Eider Pearl 260")
    assert kept.caliper_mm == 0.29
    assert kept.open_size_mm == (210, 297)
    assert kept.creases[0].at_mm == 148.5  # nothing typed: in the middle
    assert kept.pack is not None
    assert (str(kept.pack.price), kept.pack.currency) == ("12.40", "GBP")
    assert "Kept as revision 1" in client.get(answer.headers["location"]).text


@pytest.mark.parametrize(
    ("typed", "size", "crease"),
    [
        ({"size": "A5", "folds": "folded"}, (210, 297), 148.5),
        ({"size": "21 x 29.7 cm", "folds": "open"}, (210, 297), 148.5),
        ({"size": "5 x 7 in", "folds": "flat"}, (127, 177.8), None),
    ],
)
def test_a_size_by_name_or_in_any_unit_and_what_it_means(
    client: TestClient, bench: Bench, typed: dict[str, str], size: tuple[float, float], crease: float | None
) -> None:
    answer = client.post("/describe/stock", data={**STOCK, "width": "", "height": "", **typed})
    assert answer.status_code == 303
    kept = bench.stocks.get("Eider Pearl 260")
    assert kept.open_size_mm == size
    assert (kept.creases[0].at_mm if kept.creases else None) == crease


def test_a_price_with_its_sign_a_weight_with_its_unit_and_a_fraction_are_understood(
    client: TestClient, bench: Bench
) -> None:
    typed = {"pack_price": "£38", "pack_currency": "", "weight_gsm": "300gsm", "caliper_mm": "12 mil"}
    edges = {"width": "8 1/4 in", "height": "29,7 cm"}
    assert client.post("/describe/stock", data={**STOCK, **typed, **edges}).status_code == 303
    kept = bench.stocks.get("Eider Pearl 260")
    assert kept.pack is not None
    assert (str(kept.pack.price), kept.pack.currency) == ("38", "GBP")
    assert (kept.weight_gsm, kept.caliper_mm, kept.open_size_mm) == (300, 0.3048, (209.55, 297))


def test_what_looks_like_a_slip_is_shown_again_and_kept_once_it_is_said_to_be_right(
    client: TestClient, bench: Bench
) -> None:
    typed = {**STOCK, "width": "14.8", "height": "21", "crease_direction": ""}
    answer = client.post("/describe/stock", data=typed)
    assert answer.status_code == 422
    assert "in centimetres it would be 148 × 210 mm" in html.unescape(answer.text)
    assert 'name="sure"' in answer.text
    assert 'value="14.8"' in answer.text
    assert client.post("/describe/stock", data={**typed, "sure": "yes"}).status_code == 303
    assert bench.stocks.get("Eider Pearl 260").open_size_mm == (14.8, 21)


def test_a_printers_slip_too(client: TestClient) -> None:
    typed = {**PRINTER, "feed0_min_w": "3.5", "feed0_min_h": "5", "feed0_max_w": "13", "feed0_max_h": "19"}
    answer = client.post("/describe/printer", data=typed)
    assert answer.status_code == 422
    assert "in inches it would be 330.2 × 482.6 mm" in html.unescape(answer.text)


def test_inches_are_kept_as_millimetres(client: TestClient, bench: Bench) -> None:
    typed = {
        **STOCK,
        "units": "in",
        "width": "5",
        "height": "177.8 mm",
        "caliper_mm": "0.0125",
        "crease_at": "3.5",
    }
    client.post("/describe/stock", data=typed)
    kept = bench.stocks.get("Eider Pearl 260")
    assert kept.open_size_mm == (127, 177.8)
    assert kept.caliper_mm == 0.3175
    assert kept.creases[0].at_mm == pytest.approx(88.9)


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"name": ""}, "name", "Name: this is empty; fill it in"),
        ({"caliper_mm": "thick"}, "caliper_mm", "Caliper: “thick” is not a number; type a number"),
        ({"caliper_mm": "-1"}, "caliper_mm", "Caliper: −1 mm is too small; it must be more than 0 mm"),
        ({"width": ""}, "width", "Width: this is missing; fill it in"),
        ({"height": "3000"}, "height", "Height: 3000 mm is too large; it must be at most 2000 mm"),
        (
            {"crease_at": "400"},
            "crease_at",
            "From the top or left: a horizontal crease at 400 mm lies outside",
        ),
        ({"pack_currency": "pounds"}, "pack_currency", "Currency: “POUNDS” is not the code of a currency"),
        ({"pack_price": "x"}, "pack_price", "Price: “x” is not an amount of money"),
        ({"pack_currency": ""}, "pack_currency", "Currency: this is missing, and a price needs it"),
        ({"pack_price": ""}, "pack_price", "Price: this is missing where a currency is given"),
        ({"weight_gsm": "9" * 20}, "weight_gsm", "Weight: 1e+20 is too large; it must be at most 2000"),
    ],
)
def test_what_will_not_do_is_said_beside_its_field_and_what_was_typed_is_kept(
    client: TestClient, bench: Bench, typed: dict[str, str], field: str, words: str
) -> None:
    answer = client.post("/describe/stock", data={**STOCK, "notes": "from the fair", **typed})
    assert answer.status_code == 422
    assert words in fault_beside(answer.text, field)
    assert "from the fair" in answer.text
    for value in typed.values():
        assert f'value="{value}"' in answer.text
    assert len(bench.stocks.list()) == 2


def test_a_second_stock_of_the_same_name_is_refused_beside_the_name(client: TestClient, bench: Bench) -> None:
    answer = client.post("/describe/stock", data={**STOCK, "name": SATIN.name})
    assert answer.status_code == 409
    assert "already" in fault_beside(answer.text, "name")
    assert bench.stocks.get(SATIN.name) == SATIN


def test_of_two_tabs_the_second_is_told_and_overwrites_nothing(client: TestClient, bench: Bench) -> None:
    path = f"/stocks/{key_of(CRAFT.name)}/edit"
    typed = {**STOCK, "name": CRAFT.name, "after": "1"}
    assert client.post(path, data={**typed, "notes": "first tab"}).status_code == 303
    second = client.post(path, data={**typed, "notes": "second tab"})
    assert second.status_code == 409
    assert "was changed elsewhere meanwhile" in second.text
    assert "second tab" in second.text
    assert bench.stocks.get(CRAFT.name).notes == "first tab"
    after = re.search(r'name="after" value="(\d+)"', second.text)
    assert after is not None  # sent again on purpose, it holds
    assert client.post(path, data={**typed, "notes": "second tab", "after": after[1]}).status_code == 303
    assert [each.record.notes for each in bench.stocks.history(CRAFT.name)] == ["", "first tab", "second tab"]


def test_an_edit_is_undone_by_bringing_the_earlier_revision_back(client: TestClient, bench: Bench) -> None:
    base = f"/stocks/{key_of(CRAFT.name)}"
    client.post(f"{base}/edit", data={**STOCK, "name": CRAFT.name, "after": "1"})
    client.post(f"{base}/bring-back", data={"revision": "1", "after": "2"})
    assert bench.stocks.get(CRAFT.name) == CRAFT
    assert len(bench.stocks.history(CRAFT.name)) == 3
    assert client.post(f"{base}/bring-back", data={"revision": "2", "after": "2"}).status_code == 409
    assert client.post(f"{base}/bring-back", data={"revision": "9", "after": "3"}).status_code == 404


def test_what_is_put_away_leaves_the_lists_and_comes_back(client: TestClient, bench: Bench) -> None:
    trial = bench.trials.list()[0].id
    for base, listed, name in (
        (f"/stocks/{key_of(CRAFT.name)}", "/stocks", CRAFT.name),
        ("/printers/Tern%208", "/printers", "Tern 8"),
        (f"/trials/{trial}", "/trials", trial),
    ):
        client.post(f"{base}/archive", data={"archived": "yes"})
        assert name not in re.sub(r"<option.*?</option>", "", client.get(listed).text)
        assert name in client.get(f"{listed}?away=yes").text
        assert "put away" in client.get(base).text
        client.post(f"{base}/archive", data={"archived": "no"})
        assert name in client.get(listed).text


def test_lists_are_searched_filtered_and_sorted(client: TestClient, bench: Bench) -> None:
    def found(path: str) -> list[str]:
        return re.findall(r'class="name"><a href="/\w+/([^"]+)"', client.get(path).text)

    satin, craft, waiting = (trial.id for trial in bench.trials.list())
    assert found("/trials") == [waiting, craft, satin]
    assert found("/trials?sort=oldest") == [satin, craft, waiting]
    assert found("/trials?sort=grade")[0] == satin
    assert found("/trials?q=shingle") == [craft]
    assert found("/trials?q=harbour+tern&stage=judged") == [satin]
    assert found("/trials?stage=to-print") == [waiting]
    assert found("/trials?q=%25") == []
    assert found("/trials?grade=nonsense&sort=nonsense&page=-3&stage=x") == [waiting, craft, satin]
    assert found("/stocks?coated=none") == ["Shingle%20Craft%20250"]
    assert found("/stocks?sort=name") == ["Harbour%20Satin%20300", "Shingle%20Craft%20250"]


def test_a_long_list_comes_in_pages(client: TestClient, bench: Bench) -> None:
    for number in range(45):
        bench.stocks.add(Stock(name=f"Dunlin {number:02}", open_size_mm=(210, 297)))
    first, second = (client.get(f"/stocks?page={n}&sort=name&q=dunlin").text for n in (1, 2))
    assert first.count("<li><span") == 40
    assert second.count("<li><span") == 5
    assert "page=2" in first


def test_a_printer_is_kept_and_edited_with_its_feeds(client: TestClient, bench: Bench) -> None:
    assert client.post("/describe/printer", data=PRINTER).status_code == 303
    kept = bench.printers.get("Skua 6")
    assert kept.feeds[0].borderless_sizes_mm == ((210, 297), (102, 152))
    assert kept.feeds[0].margins_mm is not None
    edited = {**PRINTER, "after": "1", "feed1_name": "front", "feed1_min_w": "100", "feed1_min_h": "100",
              "feed1_max_w": "210", "feed1_max_h": "300"}  # fmt: skip
    assert client.post("/printers/Skua%206/edit", data=edited).status_code == 303
    assert [feed.name for feed in bench.printers.get("Skua 6").feeds] == ["rear", "front"]
    page = client.get("/printers/Skua%206/edit").text
    assert 'value="329"' in page
    assert "210 x 297" in page


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"name": ""}, "name"),
        ({"grid_ppi": "3"}, "grid_ppi"),
        ({"ink_count": "x"}, "ink_count"),
        ({"feed0_max_w": "50"}, "feed0_max_w"),
        ({"feed0_min_h": ""}, "feed0_min_h"),
        ({"feed0_top": "abc"}, "feed0_top"),
        ({"feed0_borderless": "large"}, "feed0_borderless"),
        ({"feed0_name": ""}, "feed0_name"),
    ],
)
def test_a_printers_faults_stand_beside_their_fields(
    client: TestClient, typed: dict[str, str], field: str
) -> None:
    answer = client.post("/describe/printer", data={**PRINTER, **typed})
    assert answer.status_code == 422
    assert fault_beside(answer.text, field)


@pytest.mark.parametrize(
    "name", ["Matt 5/7", "..", ".", "~2F", "50 % & more?", "Ünïcode ≈ ☂", "a\\b", "edit", "#1"]
)
def test_any_name_has_an_address(client: TestClient, bench: Bench, name: str) -> None:
    bench.stocks.add(Stock(name=name, open_size_mm=(210, 297)))
    assert client.get(f"/stocks/{key_of(name)}").status_code == 200
    assert client.get(f"/stocks/{key_of(name)}/edit").status_code == 200
    assert client.get(f"/test/printer?stock={key_of(name)}").status_code == 200
    assert "/" not in key_of(name)


def test_keys_and_names_are_each_others_way_back() -> None:
    from urllib.parse import unquote

    for name in ("~", "~~41", "/~/", ".hidden", "x.y", "~2F"):
        assert name_of(unquote(key_of(name))) == name


def test_names_are_shown_as_text_never_as_markup(client: TestClient, bench: Bench) -> None:
    evil = "<script>alert(1)</script>"
    bench.stocks.add(
        Stock(name=evil, surface='"><img src=x>', open_size_mm=(148, 105), notes="</textarea><b>")
    )
    add_trial(bench, bench.stocks.get(evil), settings=Settings(media_setting="<b>bold</b>"))
    for path in (
        "/",
        "/stocks",
        "/trials",
        f"/stocks/{key_of(evil)}",
        f"/stocks/{key_of(evil)}/edit",
        "/test",
    ):
        page = client.get(path).text
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert "<b>" not in page


def test_settings_are_noted_and_two_tabs_are_told_apart(client: TestClient, bench: Bench) -> None:
    trial = bench.trials.list()[0].id
    base = f"/trials/{trial}/settings"
    typed = {
        "media_setting": "Photo satin",
        "drying_hours": "24,5",
        "black_point_compensation": "yes",
        "after": "1",
    }
    assert client.post(base, data=typed).status_code == 303
    noted = bench.trials.get(trial).settings
    assert (noted.media_setting, noted.drying_hours, noted.black_point_compensation) == (
        "Photo satin",
        24.5,
        True,
    )
    late = client.post(base, data={**typed, "quality": "High"})
    assert late.status_code == 409
    assert "changed elsewhere meanwhile" in late.text
    bad = client.post(base, data={**typed, "drying_hours": "long", "after": "2"})
    assert bad.status_code == 422
    assert fault_beside(bad.text, "drying_hours") == "Dried for: “long” is not a number; type a number"


def test_what_is_not_there_is_said_so(client: TestClient) -> None:
    for path in (
        "/stocks/Nothing",
        "/printers/Nothing",
        "/trials/NOTHING1",
        "/jobs/none",
        "/nowhere",
        "/test/fit?stock=a&printer=b",
    ):
        answer = client.get(path)
        assert answer.status_code == 404, path
        assert "That did not work" in answer.text
    near = client.get("/stocks/Harbour%20Satin%2030")
    assert "did you mean" in near.text.lower()


def test_answers_by_eye_become_a_reading_and_a_verdict(client: TestClient, bench: Bench) -> None:
    trial = bench.trials.list()[2].id
    base = f"/trials/{trial}/eye"
    none = client.post(base, data={})
    assert none.status_code == 422
    assert "no question was answered" in none.text
    bad = client.post(base, data={"smallest_type_pt": "tiny", "creep": "much"})
    assert "not a number" in fault_beside(bad.text, "smallest_type_pt")
    assert '<option value="much" selected>' in bad.text
    few = client.post(base, data={"creep": "no", "drying_hours": "24"})
    assert few.status_code == 422
    assert "Beside a good print: how strong are the colours?" in few.text
    with pytest.raises(NotFound):
        bench.readings.standing(trial)
    answers = {"dark_steps_alike": "9", "creep": "much", "drag_this_side": "no", "drag_other_side": "yes",
               "beside_screen": "much-less", "smallest_type_pt": "7,5", "hues_off": "0"}  # fmt: skip
    assert client.post(base, data=answers).headers["location"] == f"/trials/{trial}"
    reading = bench.readings.standing(trial)
    assert reading.kind == "eye"
    assert bench.verdicts.standing(trial).reading == reading.id
    page = client.get(f"/trials/{trial}")
    assert page.status_code == 200
    assert "by eye" in page.text


def test_every_question_by_eye_is_one_that_the_reading_knows() -> None:
    from tackside.reading.eye import Answers
    from tackside.web.forms.eye_form import FIELDS

    assert set(FIELDS) <= set(Answers.model_fields)
    # One word for hues, and words for soft colours beside the screen, are for answers that were written down before.
    earlier = {"hues", "soft_cyans_beside_screen", "soft_reds_beside_screen"}
    assert set(Answers.model_fields) - set(FIELDS) == earlier


def test_rulers_hues_and_middle_greys_are_answered(client: TestClient, bench: Bench) -> None:
    trial = bench.trials.list()[2]
    base = f"/trials/{trial.id}/eye"
    asked = trial.sheet.size_mm[0] - 20, trial.sheet.size_mm[1] - 20
    shown = client.get(base).text
    turned = [f"soft_{hue}_hue_beside_good" for hue in ("reds", "purples", "blues")]
    for field in ("hues_off", "middle_beside_good", "ruler_across_mm", "ruler_along_mm", *turned):
        assert f'id="{field}"' in shown
    assert f"The sheet asks for {asked[0]:g} mm" in shown
    bad = client.post(base, data={"ruler_across_mm": "long", "hues_off": "0"})
    assert bad.status_code == 422
    assert fault_beside(bad.text, "ruler_across_mm")
    assert 'value="long"' in bad.text
    answers = {
        "ruler_across_mm": f"{asked[0] * 0.97:.1f}".replace(".", ","), "ruler_along_mm": f"{asked[1] * 0.97:.1f}",
        "hues_off": "2", "middle_beside_good": "darker", "black_beside_good": "same",
        "colour_beside_good": "same", "light_greens_beside_good": "less", "missing_inks": "y",
        **dict(zip(turned, ("bluer", "redder", "greener"), strict=True)),
    }  # fmt: skip
    assert client.post(base, data=answers).status_code == 303
    reading = bench.readings.standing(trial.id)
    assert reading.placement is not None
    assert reading.placement.scale_x == pytest.approx(0.97, abs=0.001)
    assert reading.placement.scale_y == pytest.approx(0.97, abs=0.001)
    assert reading.attributes["eye_hues_off"].value == 2.0
    assert reading.attributes["eye_light_greens_beside"].value == 1.0
    assert [reading.attributes[f"eye_missing_{ink}"].value for ink in "cmyk"] == [0.0, 0.0, 1.0, 0.0]
    assert reading.attributes["eye_middle_beside"].value == 1.0
    assert [reading.attributes[f"eye_soft_{hue}_hue"].value for hue in ("reds", "purples", "blues")] == [
        -1,
        1,
        -1,
    ]
    assert "The soft purples are redder than the good print" in client.get(f"/trials/{trial.id}").text


def test_a_sheet_without_a_cube_is_not_asked_for_soft_colours(client: TestClient, bench: Bench) -> None:
    trial = bench.trials.list()[2]
    bare = tuple(patch for patch in trial.sheet.patches if "cube" not in patch.roles)
    bench.trials.add(
        trial.model_copy(update={"id": "N0CVBE22", "sheet": trial.sheet.model_copy(update={"patches": bare})})
    )
    shown = client.get("/trials/N0CVBE22/eye").text
    assert 'id="middle_beside_good"' in shown
    assert 'id="soft_' not in shown
    assert (
        shown.count('<div class="half eye')
        == client.get(f"/trials/{trial.id}/eye").text.count('<div class="half eye')
        - len(soft_of(trial.sheet))
        + 1  # soft reds have one cell for two questions,
        - len(_HUES_TO_MATCH)  # and so has each hue beside its swatches
    )


_HUES_TO_MATCH = ("cyans", "reds", "greens", "purples")


def test_a_swatch_is_picked_for_each_patch(client: TestClient, bench: Bench) -> None:
    trial = bench.trials.list()[2]
    base = f"/trials/{trial.id}/eye"
    shown = client.get(base).text
    # Seven greys; of each hue what any screen shows of seven by seven, and a row of hues.
    assert len(re.findall(r'name="greys_match" value="-?\d"', shown)) == 7
    for hue in _HUES_TO_MATCH:
        assert 25 < len(re.findall(rf'name="soft_{hue}_match" value="-?\d -?\d"', shown)) <= 49
        assert 3 < len(re.findall(rf'name="soft_{hue}_hue_match" value="-?\d"', shown)) <= 7
    picked = {"greys_match": "-1", "soft_cyans_match": "0 -2", "soft_reds_hue_match": "1", "creep": "no"}
    again = client.post(base, data=picked)
    assert again.status_code == 422  # black, colours and hues are still to be told
    for field, value in list(picked.items())[:3]:
        assert re.search(rf'name="{field}" value="{value}"[^>]* checked', again.text)
    enough = {"dark_steps_alike": "3", "beside_screen": "same", "hues_off": "0"}
    assert client.post(base, data=picked | enough).status_code == 303
    found = bench.readings.standing(trial.id).attributes
    assert [found[f"eye_match_{name}"].value for name in ("greys_l", "cyans_l", "cyans_s", "reds_h")] == [
        -1,
        0,
        -2,
        1,
    ]
    assert "eye_match_cyans_h" not in found
    assert client.post(base, data=enough | {"soft_cyans_match": "9 0"}).status_code == 422


def test_device_numbers_have_no_swatches(client: TestClient, bench: Bench) -> None:
    trial = bench.trials.list()[2]
    bare = trial.sheet.model_copy(update={"space": None, "purpose": "device"})
    bench.trials.add(trial.model_copy(update={"id": "N0SPACE2", "sheet": bare}))
    shown = client.get("/trials/N0SPACE2/eye").text
    assert "_match" not in shown
    assert "Beside swatches on the screen" not in shown


def test_a_sheet_without_opposite_rulers_asks_for_no_length(client: TestClient, bench: Bench) -> None:
    from tackside.web.forms.eye_form import rulers_of

    sheet = bench.trials.list()[2].sheet
    bare = sheet.model_copy(
        update={
            "targets": tuple(
                one for one in sheet.targets if one.kind != "ruler" or one.name.rsplit("-", 2)[1] != "bottom"
            )
        }
    )
    assert set(rulers_of(sheet)) == {"ruler_across_mm", "ruler_along_mm"}
    assert set(rulers_of(bare)) == {"ruler_across_mm"}


# Words of files and of the programming language, which no page says.
FILES_WORDS = re.compile(
    r"\bNone\b|\b[a-z]+_(?:mm|gsm|ppi|size|share)\b|\[\[?\w|\bnull\b|no\. \d|TOML|\bquotes\b"
)
FAULTY: tuple[tuple[str, dict[str, str], str, str, str], ...] = (
    (
        "stock", {"width": ""}, "width", "Width: this is missing; fill it in",
        "Breite: Diese Angabe fehlt; tragen Sie sie ein",
    ),
    (
        "stock", {"caliper_mm": "dick"}, "caliper_mm", "Caliper: “dick” is not a number; type a number",
        "Dicke: „dick“ ist keine Zahl; geben Sie eine Zahl ein",
    ),
    (
        "stock", {"height": "2000.5"}, "height", "Height: 2000.5 mm is too large; it must be at most 2000 mm",
        "Höhe: 2000,5 mm ist zu groß; es dürfen höchstens 2000 mm sein",
    ),
    (
        "stock", {"pack_count": "2.5"}, "pack_count", "Sheets: “2.5” is not a whole number",
        "Bogen: „2.5“ ist keine ganze Zahl",
    ),
    (
        "printer", {"feed0_borderless": "210 x 297\n102x152\nlarge"}, "feed0_borderless",
        "Feed 1, Borderless sizes, line 3: “large” is not a size; type width and height with an x between them",
        "Einzug 1, Randlose Formate, Zeile 3: „large“ ist kein Format",
    ),
    (
        "printer", {"feed1_name": "front", "feed1_min_w": "wide"}, "feed1_min_w",
        "Feed 2, Narrowest sheet: “wide” is not a number", "Einzug 2, ",
    ),
    ("printer", {"feed0_max_w": "80"}, "feed0_max_w", "Feed 1, Widest sheet: the largest width, 80 mm,", "Einzug 1, "),
    ("printer", {"feed0_top": "-4"}, "feed0_top", "Feed 1, Margin, top: −4 mm is too small", "Einzug 1, "),
    (
        "printer", {"ink_count": "six"}, "ink_count", "How many inks: “six” is not a whole number",
        "„six“ ist keine ganze Zahl",
    ),
)  # fmt: skip


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(("kind", "typed", "field", "english", "german"), FAULTY)
def test_a_fault_is_said_at_its_field_by_its_label_and_in_the_readers_language(
    client: TestClient, kind: str, typed: dict[str, str], field: str, english: str, german: str, language: str
) -> None:
    form = {**(STOCK if kind == "stock" else PRINTER), **typed}
    answer = client.post(f"/describe/{kind}", data=form, headers={"accept-language": language})
    assert answer.status_code == 422
    told = fault_beside(answer.text, field)
    assert (english if language == "en" else german) in told
    assert FILES_WORDS.search(told) is None
    assert f'<a href="#{field}">' in answer.text  # the list above the form leads there


def test_a_length_at_fault_is_told_in_the_readers_unit(client: TestClient) -> None:
    answer = client.post(
        "/describe/stock",
        data={**STOCK, "units": "in", "height": "100"},
        headers={"accept-language": "en-US"},
    )
    # 2000 mm is 78.740 in by the definition of the inch.
    assert "Height: 100 in is too large; it must be at most 78.74 in" in fault_beside(answer.text, "height")


def test_labels_in_faults_are_those_of_the_forms(client: TestClient) -> None:
    from tackside.web.forms.eye_form import QUESTIONS
    from tackside.web.i18n.labels import LABELS

    questions = {asked.field: asked.words for _group, group in QUESTIONS for asked in group}
    assert {path[0]: label for path, label in LABELS["answers"].items()}.items() <= questions.items()
    for kind, page in (("stock", "/describe/stock"), ("printer", "/describe/printer"), ("run", "/plan/run")):
        shown = set(
            map(html.unescape, re.findall(r"<(?:label|legend|span)[^>]*>([^<]+)<", client.get(page).text))
        )
        groups = {
            "Crease",
            "Inks",
            "Label sheet",
            "Designs",
        }  # told of a whole list, whose form has a title of its own
        missing = {label for label in LABELS[kind].values() if label not in shown} - groups
        assert missing == set(), kind


def test_a_note_with_words_of_a_file_comes_back_as_it_was_typed(client: TestClient, bench: Bench) -> None:
    note = "Found in the printer file on the NAS: border_mm = 3.5"
    client.post("/describe/stock", data={**STOCK, "notes": note})
    path = f"/stocks/{key_of(STOCK['name'])}/edit"
    shown = re.search(r'<textarea id="notes"[^>]*>(.*?)</textarea>', client.get(path).text, re.DOTALL)
    assert shown is not None
    assert html.unescape(shown[1]) == note
    client.post(path, data={**STOCK, "notes": html.unescape(shown[1]), "weight_gsm": "255", "after": "1"})
    kept = bench.stocks.get(STOCK["name"])
    assert (kept.notes, kept.weight_gsm) == (note, 255)
    assert note in html.unescape(client.get(f"/stocks/{key_of(STOCK['name'])}").text)
