"""Files that others made are opened by ``files/outside.py`` alone: it knows plain files and sizes.

Told from the code itself: every call that opens or reads a file stands in a module of this list, with why it may.
"""

from __future__ import annotations

import ast
from pathlib import Path

SOURCE = Path(__file__).parent.parent / "src" / "tackside"
# Names that open a file wherever they are called: of functions, and of methods of paths and libraries.
FUNCTIONS = {"open", "ZipFile", "open_heif"}
METHODS = {
    "read_bytes", "read_text", "new_from_file", "fdopen", "ZipFile", "from_file_path", "imread", "fromfile",
    "iterparse", "memmap", "loadtxt", "genfromtxt", "parse_file", "is_zipfile", "open_heif",
}  # fmt: skip
# Whose ``open`` and ``load`` open files, by what stands before the dot.
OPENING = {
    "pikepdf", "Pdf", "Image", "io", "os", "codecs", "path", "file", "source", "place", "temporary", "into", "document",
    "out", "self._path", "zipfile", "gzip", "tarfile", "builtins", "np", "stream",
}  # fmt: skip
OWN = "shipped with the package"
KEPT = "what the bench keeps, or the cache: written by this program, refused as damaged"
MADE = "a file that this very job makes"
HANDED = "bytes or a stream that were opened in that one place"
ALLOWED = {
    "web/safety/sessions.py": KEPT,
    "files/outside.py": "the place itself",
    "files/atomic.py": MADE,
    "files/pdf.py": MADE,
    "files/heic.py": HANDED,
    "bench/transfer/restore.py": HANDED,
    "bench/transfer/exchange_archive.py": HANDED,
    "reading/document/pages.py": HANDED,
    "reading/document/painted.py": HANDED,
    "reading/document/picture.py": HANDED,
    "reading/instrument/guarded_xml.py": HANDED,
    "card/type/system_fonts.py": "a font of this computer, after it was looked at",
    **dict.fromkeys(
        (
            "card/file/design.py", "card/type/typeface.py", "cli/demo/studio.py", "colour/spectral.py",
            "messages/languages.py", "picture/choose/contact_sheet.py", "report/pages/page.py",
            "report/pages/paper.py", "sheet/page/text.py", "sheet/scenery/subjects.py",
            "verdict/classifier/likelihoods.py", "web/i18n/language.py", "web/shell/static_files.py",
        ),
        OWN,
    ),
    **dict.fromkeys(
        (
            "bench/repositories/kept_files.py", "bench/repositories/scanners.py",
            "bench/repositories/second_sides.py", "bench/repositories/used_scanners.py", "bench/transfer/backup.py",
            "bench/transfer/exchange.py", "bench/transfer/move.py", "card/series/series.py",
            "cli/without_terminal/only_one.py", "run/ink/kept_tones.py",
            "tasks/artifacts.py", "tasks/kept_array.py", "tasks/machine_code.py", "tasks/parallel.py",
            "tasks/work_folder.py", "web/safety/secret.py", "web/views/cards/card_thumbnail.py",
            "web/views/scan.py", "workflow/prepared/live_proof.py", "workflow/prepared/scan_view.py",
            "workflow/profiles/install.py", "workflow/read.py", "workflow/scanning/left_job.py",
        ),
        KEPT,
    ),
    **dict.fromkeys(
        (
            "card/pixels/jpeg.py", "cli/demo/stages.py", "reading/scanning/escl.py", "reading/scanning/sane.py",
            "run/ink/coverage.py", "run/ipp/client.py", "run/ipp/sheet_file.py", "web/forms/received.py",
            "web/phone/app.py", "workflow/cards/make_list.py", "cli/main.py",
        ),
        MADE,
    ),
}  # fmt: skip


def opening_calls(code: str) -> list[str]:
    """The calls in a module's code that open or read a file, as they stand there."""
    return [
        ast.unparse(each) for each in ast.walk(ast.parse(code)) if isinstance(each, ast.Call) and _opens(each)
    ]


def _opens(call: ast.Call) -> bool:
    named = call.func
    if isinstance(named, ast.Name):
        return named.id in FUNCTIONS
    if not isinstance(named, ast.Attribute):
        return False
    if named.attr in METHODS:
        return True
    before = ast.unparse(named.value)
    if named.attr == "thumbnail":  # by a name; of an image at hand it is thumbnail_image
        return before.endswith("Image")
    if named.attr == "load":
        return before == "np"
    if named.attr != "open":
        return False
    first = call.args[0] if call.args else None
    is_mode = (
        isinstance(first, ast.Constant)
        and isinstance(first.value, str)
        and set(first.value) <= set("rwxab+t")
    )
    return is_mode or before in OPENING


def test_nobody_opens_a_file_around_it() -> None:
    found = {
        str(path.relative_to(SOURCE)): opening_calls(path.read_text("utf-8"))
        for path in sorted(SOURCE.rglob("*.py"))
    }
    assert {name: calls for name, calls in found.items() if calls and name not in ALLOWED} == {}
    assert {name for name in ALLOWED if not found.get(name)} == set(), "no longer needed in the list"


def test_it_sees_what_opens_a_file() -> None:
    ways = (
        "open(p)", "p.open('rb')", "path.read_bytes()", "pyvips.Image.new_from_file(str(p))", "pikepdf.open(p)",
        "Image.open(p)", "zipfile.ZipFile(p)", "ZipFile(p)", "np.load(p)", "pyvips.Image.thumbnail(p, 9)",
        "os.open(p, flags)", "os.fdopen(9)",
    )  # fmt: skip
    assert [each for each in ways if not opening_calls(each)] == []
    assert opening_calls("Bench.open(folder); self.open(door); PICTURE.open(path)") == []
