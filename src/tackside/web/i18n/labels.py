"""What the forms call the fields of records: a fault names the field as the person sees it.

Labels are those of the templates, kind of record by kind of record; ``*`` stands for a row or a name in between.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from tackside.messages.place import Place
from tackside.web.i18n.language import translations

Path = tuple[str | int, ...]


def _(text: str) -> str:
    """Marks a text for translation; it is translated where it is shown."""
    return text


_PICTURE: dict[Path, str] = {
    ("file",): _("Which one"), ("panel",): _("Where"), ("fit",): _("How it lies"),
    ("border_mm",): _("Border"),
    ("turn",): _("Turn"), ("placed_mm", 0): _("From the left"), ("placed_mm", 1): _("From the top"),
    ("placed_mm", 2): _("Width of all of it"),
}  # fmt: skip
_TEXT: dict[Path, str] = {
    ("text",): _("What it says"), ("panel",): _("Where"), ("face",): _("Letters"), ("turn",): _("Turn"),
    ("size_pt",): _("Size"), ("colour",): _("Ink"), ("align",): _("Across"),
    ("place",): _("Along the height"),
    ("box_mm", 0): _("From the left"), ("box_mm", 1): _("From the top"), ("box_mm", 2): _("Width"),
    ("box_mm", 3): _("Height"),
}  # fmt: skip
_CREDIT: dict[Path, str] = {("text",): _("At the foot of the back"), ("qr",): _("A code that leads to")}
LABELS: dict[str, Mapping[Path, str]] = {
    "stock": {
        ("name",): _("Name"), ("base",): _("Base"), ("surface",): _("Surface"), ("weight_gsm",): _("Weight"),
        ("caliper_mm",): _("Caliper"), ("coated",): _("Coated for inkjet"),
        ("coated_found_by",): _("Found out by"),
        ("open_size_mm", 0): _("Width"), ("open_size_mm", 1): _("Height"), ("creases",): _("Crease"),
        ("creases", 0, "at_mm"): _("From the top or left"), ("pack",): _("The pack"),
        ("pack", "count"): _("Sheets"),
        ("pack", "price"): _("Price"), ("pack", "currency"): _("Currency"),
        ("sold_for_inkjet",): _("Sold for inkjet"), ("notes",): _("Notes"),
    },
    "printer": {
        ("name",): _("Name"), ("inks",): _("Inks"), ("inks", "count"): _("How many inks"),
        ("grid_ppi",): _("Native grid"), ("media_settings",): _("Media settings"), ("notes",): _("Notes"),
        ("feeds",): _("The feed"), ("feeds", "*", "name"): _("Name of the feed"),
        ("feeds", "*", "max_caliper_mm"): _("Thickest card"),
        ("feeds", "*", "max_weight_gsm"): _("Heaviest card"),
        ("feeds", "*", "min_size_mm", 0): _("Narrowest sheet"),
        ("feeds", "*", "min_size_mm", 1): _("Shortest sheet"),
        ("feeds", "*", "max_size_mm", 0): _("Widest sheet"),
        ("feeds", "*", "max_size_mm", 1): _("Longest sheet"),
        ("feeds", "*", "margins_mm", "top"): _("Margin, top"),
        ("feeds", "*", "margins_mm", "bottom"): _("Margin, bottom"),
        ("feeds", "*", "margins_mm", "left"): _("Margin, left"),
        ("feeds", "*", "margins_mm", "right"): _("Margin, right"),
        ("feeds", "*", "borderless_sizes_mm"): _("Borderless sizes"),
        ("feeds", "*", "borderless_enlargement_mm"): _("Borderless enlargement"),
    },
    "settings": {
        ("media_setting",): _("Media setting"), ("quality",): _("Quality"),
        ("colour_managed_by",): _("Colour managed by"), ("profile",): _("Printer profile"),
        ("intent",): _("Rendering intent"), ("black_point_compensation",): _("Black point compensation"),
        ("drying_hours",): _("Dried for"), ("lamp",): _("Looked at under"),
        ("source_space",): _("The file was taken to be in"), ("notes",): _("Notes"),
    },
    "answers": {
        ("dark_steps_alike",): _("How many steps next to black look just as black?"),
        ("light_steps_alike",): _("How many steps next to white look like bare card?"),
        ("smallest_type_pt",): _("The smallest black type that you can read"),
        ("smallest_reversed_type_pt",): _("The smallest white type on black"),
        ("ruler_across_mm",): _("From the 10 mm mark at the left edge to the one at the right"),
        ("ruler_along_mm",): _("From the 10 mm mark at the top to the one at the bottom"),
        ("drying_hours",): _("For how long has it dried?"),
    },
    "tally": {("good",): _("Good"), ("spoiled",): _("Spoiled"), ("set-up",): _("Set-up"),
    ("batch",): _("Batch")},
    "kept-card": {("name",): _("Name"), ("stock",): _("Card stock"), ("printer",): _("Printer")},
    "card-picture": _PICTURE,
    "card-text": _TEXT,
    "card-credit": _CREDIT,
    "card-parts": {
        ("stock",): _("Card stock"), ("printer",): _("Printer"),
        ("fold",): _("The finished card has its fold"),
        ("background",): _("Colour of the whole outside"), ("pictures",): _("Pictures"),
        ("texts",): _("Words"),
        ("credit",): _("Who made it"),
    },
    "run": {
        ("name",): _("Name"), ("currency",): _("Currency"), ("cards",): _("Designs"),
        ("cards", "*", "name"): _("Design"),
        ("cards", "*", "file"): _("Card made here"), ("cards", "*", "quantity"): _("How many"),
        ("cards", "*", "recipients"): _("List of names, CSV"), ("cards", "*", "stock"): _("Card stock"),
        ("cards", "*", "printer"): _("Printer"), ("cards", "*", "ink_ml"): _("Ink a sheet"),
        ("cards", "*", "setting"): _("Paper type and quality"), ("cards", "*", "label"): _("Label"),
        ("cards", "*", "faces"): _("Printed faces"), ("cards", "*", "cards_per_sheet"): _("Cards on a sheet"),
        ("inks", "*", "ml"): _("Ink in it"), ("inks", "*"): _("Price of the ink"),
        ("on_hand", "*"): _("In the drawer"),
        ("stock_prices", "*", "count"): _("Sheets in a pack"), ("stock_prices", "*"): _("Price of a pack"),
        ("envelopes", "count"): _("Envelopes in a pack"), ("envelopes",): _("Price of the envelopes"),
        ("sleeves", "count"): _("Sleeves in a pack"), ("sleeves",): _("Price of the sleeves"),
        ("labour", "rate"): _("An hour's work"), ("labour", "setup_minutes"): _("To set up a batch"),
        ("labour", "minutes_per_sheet"): _("For a sheet"), ("labour", "minutes_per_card"): _("For a card"),
        ("equipment", "*", "price"): _("Price of the printer"),
        ("equipment", "*", "lifetime_sheets"): _("Sheets in its life"),
        ("postage", "service"): _("Postage, the post's name for it"), ("postage", "price"): _("For one card"),
        ("postage", "dated"): _("As it stood on"), ("postage", "country"): _("Country"),
        ("extras", "*", "name"): _("What else"), ("extras", "*", "price"): _("Price of it"),
        ("extras", "*", "per"): _("For each"), ("pricing", "profit"): _("Profit on cost"),
        ("pricing", "retail_factor"): _("Retail is wholesale times"), ("pricing", "tax"): _("Tax on retail"),
        ("pricing", "step"): _("Raise prices to steps of"),
        ("waste", "spoiled_share"): _("Sheets that spoil"),
        ("waste", "setup_sheets"): _("Sheets to set up a batch"), ("instead",): _("What if it were all on"),
        ("calendar", "start"): _("First day"), ("calendar", "from_time"): _("From"),
        ("calendar", "to_time"): _("To"),
        ("calendar", "days"): _("Days"), ("calendar", "print_minutes"): _("To print a sheet"),
        ("calendar", "touch_dry_minutes"): _("Touch-dry after"),
        ("calendar", "sleeve_after_hours"): _("Sleeved after"),
        ("calendar", "drying_places"): _("Places to dry"), ("labels",): _("Label sheet"),
        ("labels", "page_mm", 0): _("Width of the page"), ("labels", "page_mm", 1): _("Height of the page"),
        ("labels", "size_mm", 0): _("Width of a label"), ("labels", "size_mm", 1): _("Height of a label"),
        ("labels", "margin_mm", 0): _("Left of the first"), ("labels", "margin_mm", 1): _("Above the first"),
        ("labels", "pitch_mm", 0): _("From one to the next, across"),
        ("labels", "pitch_mm", 1): _("From one to the next, down"),
        ("labels", "columns"): _("Labels across"), ("labels", "rows"): _("Labels down"),
    },
}  # fmt: skip
# Lists whose rows stand in the form one by one → what a row is called there.
_ROWS = {
    "feeds": _("Feed %(n)s"),
    "cards": _("Design %(n)s"),
    "extras": _("Extra %(n)s"),
}
_LINE = _("line %(n)s")


def names_in(language: str) -> Callable[[Place], str]:
    """What pages in a language call the fields of records."""
    say = translations(language).gettext

    def name_of(place: Place) -> str:
        label, length = _label(LABELS.get(place.kind, {}), place.path)
        if label is None:  # no form shows it
            return say(_("The form"))
        named = [say(label)]
        for number, part in enumerate(place.path):
            holder = place.path[number - 1] if number else ""
            if isinstance(part, int) and holder in _ROWS:
                named.insert(0, say(_ROWS[str(holder)]) % {"n": part + 1})
            elif isinstance(part, int) and number == length:
                named.append(say(_LINE) % {"n": part + 1})
            elif place.kind == "run" and holder in ("inks", "stock_prices", "on_hand", "equipment"):
                named.insert(0, str(part))
        return ", ".join(named)

    return name_of


def _label(labels: Mapping[Path, str], path: Path) -> tuple[str | None, int]:
    """The label of a place, or of the nearest around it, and to which depth of the place it belongs."""
    for length in range(len(path), 0, -1):
        for known, label in labels.items():
            if len(known) == length and all(
                mine in ("*", part) for mine, part in zip(known, path, strict=False)
            ):
                return label, length
    return None, 0
