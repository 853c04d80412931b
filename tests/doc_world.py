"""What somebody has at hand who types the commands of a page: a bench with invented prints, pictures, profiles, lists;
and what comes into being beside the computer meanwhile, as a print on the glass of a scanner.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

import numpy as np
import pyvips
from PIL import Image
from tools.release import UNDATED, build

from tackside.bench.store import Bench
from tackside.cli.commands.demo import FOLDER
from tackside.cli.demo.studio import MARKER
from tackside.errors import NotFound
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import StockModel, craft_card, matt_coated, semi_gloss
from tackside.profile.icc.working_space import working_space_profile
from tackside.records import Crease, Pack, PatchReading, Printer, Reading, Stock, Trial, Uncertainty
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from tests.cli.bench_of_readings import BEGUN
from tests.doc_commands import ROOT, toml_files
from tests.profile.table_profiles import rgb_printer
from tests.web.workshop import CRAFT, SATIN, TERN, add_verdict, laid_on_glass

PACK = Pack(count=25, price="14.50", currency="GBP")
MATT = Stock(
    name="Plover Matt 230", base="matt", coated="front", open_size_mm=(180, 120),
    creases=(Crease(direction="vertical", at_mm=90),), pack=PACK,
)  # fmt: skip
# Half of an A4: a scan of a whole one takes twice as long to make and to read.
A5 = SATIN.model_copy(
    update={"open_size_mm": (210, 148), "creases": (Crease(direction="vertical", at_mm=105),), "pack": PACK}
)
# The documents' ids, and what was printed. The first is the newest, which TRIAL stands for until a page makes another.
PRINTED: dict[str, tuple[Stock, StockModel]] = {
    "DX3JJSJ4": (MATT, matt_coated()),
    "7QX2B0M4": (A5, semi_gloss()),
    "2HX8R4TD": (CRAFT.model_copy(update={"open_size_mm": (148.5, 210), "pack": PACK}), craft_card()),
    "7K3M9QPA": (A5, semi_gloss()),
}
CARD = """
stock = "Harbour Satin 300"
printer = "Tern 8"

[[pictures]]
panel = "front"
file = "boats.jpg"
border_mm = 12

[[texts]]
panel = "back"
text = "Printed by hand{for}"
size_pt = 9
"""
PEOPLE = "name,table,street,town\nAnn Bell,1,1 Quay,Harbour\nBob,2,2 Quay,Harbour\n"


@cache
def _template(place: Path) -> Path:
    """The bench that every page begins with, made once in a process."""
    folder = place / "template"
    bench = Bench.open(folder)
    bench.printers.add(TERN)
    for name in ("2HX8R4TD", "DX3JJSJ4", "7K3M9QPA"):
        bench.stocks.add(PRINTED[name][0])
    for days, (name, (stock, model)) in enumerate(PRINTED.items()):
        _print_and_measure(bench, name, stock, TERN, model, days)
    again = bench.readings.standing("7K3M9QPA").model_copy(update={"id": None})
    bench.readings.add(again)
    return folder


@cache
def _wheel(place: Path) -> Path:
    (place / "wheel").mkdir()
    return build(ROOT, place / "wheel", UNDATED)[1]


def _print_and_measure(
    bench: Bench, name: str, stock: Stock, printer: Printer, model: StockModel, days: int
) -> None:
    when = BEGUN.replace(day=BEGUN.day + days)
    plan = plan_sheet(stock, printer, trial_id=name, ppi=300)
    trial = bench.trials.add(
        Trial(
            id=name, stock=stock.name, stock_revision=1, printer=printer.name, printer_revision=1, feed="rear",
            side="front", sheet=plan, made_at=when,
        )
    )  # fmt: skip
    lab = _measured([patch.rgb for patch in plan.patches], model)
    reading = bench.readings.add(
        Reading(
            trial=name, kind="instrument", source_name=f"{name}.txt", source_sha256="0" * 64, made_at=when,
            patches=tuple(
                PatchReading(name=patch.name, rgb=patch.rgb, lab=(light, a, b))
                for patch, (light, a, b) in zip(plan.patches, lab, strict=True)
            ),
            uncertainty=Uncertainty(de00=0.2, basis="an invented instrument", comparable_with="colorimetric"),
        )
    )  # fmt: skip
    add_verdict(bench, trial, reading)


def _measured(rgb: Sequence[tuple[float, float, float]], model: StockModel) -> list[list[float]]:
    """CIELAB of what the virtual press makes of these colours on a card."""
    printed = print_sheet(np.full((60, 60, 3), 255, np.uint8), 600, model, PrinterModel())
    return np.asarray(printed.lab_of(np.array(rgb))).round(3).tolist()


class World:
    """One person's home: ``home`` with the bench in ``Tackside``, ``desk`` where the commands are typed."""

    def __init__(self, page: Path, place: Path, templates: Path, *, empty: bool) -> None:
        self.home, self.desk, self.templates = place / "home", place / "desk", templates
        for folder in (self.home, self.desk):
            folder.mkdir()
        if not empty:
            shutil.copytree(_template(templates), self.home / "Tackside")
        self.files = toml_files(page)
        self.sheet: Path | None = None  # the file of the newest sheet

    @property
    def bench(self) -> Bench:
        return Bench.open(self.home / "Tackside")

    def meant(self, words: Sequence[str]) -> list[str]:
        """The words as a shell hands them over, after the person has put in ids and laid out what they name."""
        words = [self._with_ids(word) for word in words]
        for before, word in zip(["", *words], words, strict=False):
            if before not in {"--out", "--page"}:
                self._lay_out(word)
        if words[:1] == ["sheet"]:
            self.sheet = Path(words[words.index("--out") + 1])
        if "--demo" in words:
            self._demo()
        if "--csv" in words:
            self._name_guests()
        opened = [str(Path(word).expanduser()) if word.startswith("~") else word for word in words]
        return [
            found
            for word in opened
            for found in (sorted(map(str, Path().glob(word))) if "*" in word else [word])
        ]

    def _with_ids(self, word: str) -> str:
        if not re.search(r"\b(TRIAL2?|OTHER|ID)\b", word):
            return word
        trials = {
            "TRIAL": self._newest_trial(),
            "TRIAL2": self._newest_trial(),
            "OTHER": self._another_trial(),
        }
        runs = {"ID": str(self.bench.runs.list()[0].id)} if word == "ID" else {}
        return re.sub(r"\b(TRIAL2?|OTHER|ID)\b", lambda found: {**trials, **runs}[found[0]], word)

    def _newest_trial(self) -> str:
        trials = self.bench.trials
        return max((*trials.list(), *trials.list(practice=True)), key=lambda trial: trial.made_at).id

    def _another_trial(self) -> str:
        """Of a card that was tested before."""
        name, bench = "2HX8R4TD", self.bench
        if name not in {trial.id for trial in bench.trials.list()}:
            stock = A5.model_copy(update={"name": "Plover Matt 230"})
            bench.stocks.add(stock)
            _print_and_measure(bench, name, stock, bench.printers.get("Tern 8"), matt_coated(), 0)
        return name

    def _lay_out(self, word: str) -> None:
        """Put a file in its place that is named and not there: what a person brings, or has done meanwhile."""
        path = Path(word.partition("[")[0]).expanduser()
        fitting = (make for pattern, make in _BRINGS if re.fullmatch(pattern, word))
        if not path.exists() and (make := next(fitting, None)) is not None:
            path.parent.mkdir(parents=True, exist_ok=True)
            make(self, path)
        if path.suffix == ".toml" and path.exists():  # and what it names, beside it
            named = r'^(?:file|recipients) = "([^"]+)"'
            for name in re.findall(named, path.read_text(encoding="utf-8"), re.MULTILINE):
                self._lay_out(name)

    def _demo(self) -> None:
        """As if the demo had been run before, which tests/test_install.py does: it takes a minute."""
        shutil.copytree(_template(self.templates), FOLDER / "bench")
        (FOLDER / MARKER).touch()

    def _name_guests(self) -> None:
        """Write a name on the card that was made before, as the page says."""
        card = Path("card.toml")
        if "{name}" not in card.read_text(encoding="utf-8"):
            with card.open("a", encoding="utf-8") as file:
                file.write('\n[[texts]]\npanel = "front"\ntext = "Dear {name}"\nsize_pt = 30\n')

    # What is made beside the computer.

    def wheel(self, path: Path) -> None:
        built = _wheel(self.templates)
        assert built.name == path.name, f"the wheel is called {built.name}"
        shutil.copy(built, path)

    def picture(self, path: Path) -> None:
        rng = np.random.default_rng(len(path.name))
        coarse = rng.integers(30, 230, (24, 32, 3), dtype=np.uint8)
        image = Image.fromarray(coarse).resize((1200, 900), Image.Resampling.BICUBIC)
        image.save(path, icc_profile=working_space_profile("srgb"), dpi=(300, 300))

    def pictures(self, path: Path) -> None:
        path.mkdir()
        self.picture(path / "one.jpg")
        self.picture(path / "second.jpg")

    def profile(self, path: Path) -> None:
        path.write_bytes(rgb_printer())

    def profiles(self, path: Path) -> None:
        path.mkdir()
        self.profile(path / "satin.icc")

    def people(self, path: Path) -> None:
        path.write_text(PEOPLE, encoding="utf-8")

    def folder(self, path: Path) -> None:
        path.mkdir()

    def shown(self, path: Path) -> None:
        """A file that the page itself shows; else a card."""
        names = "for {name}" if path.name == "names.toml" else ""
        path.write_text(self.files.get(path.name, CARD.replace("{for}", names)), encoding="utf-8")

    def scan(self, path: Path) -> None:
        trial = self.bench.trials.get(self._newest_trial())
        self._on_glass(trial, path)

    def page_scan(self, path: Path) -> None:
        self._on_glass(self.bench.trials.get(self._newest_trial()), path, int(path.stem[-1]))

    def scans(self, path: Path) -> None:
        for name in ("7K3M9QPA", "2HX8R4TD"):
            try:
                trial = self.bench.trials.get(name)
            except NotFound:
                trial = self.bench.trials.get(self._newest_trial())
            self._on_glass(trial, path.parent / f"{trial.id}.tif")

    def _on_glass(self, trial: Trial, path: Path, page: int = 1) -> None:
        plan = trial.sheet.on_page(page)
        sheet = path.with_name(f".{path.name}-sheet.tif")
        pyvips.Image.new_from_array(render(plan)).tiffsave(str(sheet))
        laid_on_glass(sheet, plan, path)
        sheet.unlink()

    def measured(self, path: Path) -> None:
        """The file of an instrument that has measured the newest sheet: CGATS.17."""
        trial = self.bench.trials.get(self._newest_trial())
        colours = [patch.rgb for patch in trial.sheet.patches]
        printed = self._in_the_file(trial) or colours
        rows = [
            " ".join([patch.name, *(f"{255 * each:.4f}" for each in rgb), *map(str, lab)])
            for patch, rgb, lab in zip(
                trial.sheet.patches, colours, _measured(printed, semi_gloss()), strict=True
            )
        ]
        fields = "SAMPLE_NAME RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B"
        path.write_text(
            f"CGATS.17\nNUMBER_OF_FIELDS 7\nBEGIN_DATA_FORMAT\n{fields}\nEND_DATA_FORMAT\n"
            f"NUMBER_OF_SETS {len(rows)}\nBEGIN_DATA\n" + "\n".join(rows) + "\nEND_DATA\n"
        )

    def _in_the_file(self, trial: Trial) -> list[tuple[float, float, float]] | None:
        """What the printer is sent for each patch, which a profile has changed; None for a sheet of several files."""
        if self.sheet is None or not self.sheet.exists():
            return None
        pixels = pyvips.Image.new_from_file(str(self.sheet)).numpy()
        scale = trial.sheet.ppi / 25.4
        middles = [
            (int((box.y + box.h / 2) * scale), int((box.x + box.w / 2) * scale))
            for box in (patch.box_mm for patch in trial.sheet.patches)
        ]
        return [tuple((pixels[at] / np.iinfo(pixels.dtype).max).tolist()) for at in middles]


# What a word names → how it comes to be there. The first that fits.
_BRINGS: tuple[tuple[str, Callable[[World, Path], None]], ...] = (
    (r"tackside-.*\.whl(\[.*\])?", World.wheel),
    (r"(boats|harbour|heath|picture)\.(jpg|tif|png)", World.picture),
    (r"(holiday|archive)/", World.pictures),
    (r"(satin|matt|harbour-satin)\.icc", World.profile),
    (r"~/profiles", World.profiles),
    (r"~/Pictures/scans", World.folder),
    (r"(guests|people)\.csv", World.people),
    (r"(card|fair|boats|names|harbour|tern)\.toml", World.shown),
    (r"scan\.tif", World.scan),
    (r"page-\d\.tif", World.page_scan),
    (r"scans/\*\.tif", World.scans),
    (r"(measured(-2)?|chart|harbour-front)\.txt", World.measured),
)
