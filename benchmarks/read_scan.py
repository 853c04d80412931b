"""How long reading a scan takes beside its bare decoding by libvips, and how much memory.

    python benchmarks/read_scan.py [--ppi 600] [--rounds 5]

An invented A4 sheet is printed and scanned by the virtual press (16 bits, LZW, askew by 2°), once. Reading it
and decoding it then take turns, each in a process of its own, so that neither warms the other up beyond the
disk's cache; Python's start and imports are not counted. Limits, for 600 ppi: at most 2.5 times, under 1 GB.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

TRIAL = "7K3M9QPA"
MOST_RATIO, MOST_GB = 2.5, 1.0

MAKE = """
import sys
from pathlib import Path
from tackside.records import Feed, Printer, Stock
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.printer.printing import print_sheet
from tackside.press.scanner.scanning import scan
from tackside.press.printer.stock_model import semi_gloss
from tackside.press.scanner.scan_file import write_scan
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render

folder, ppi = Path(sys.argv[1]), float(sys.argv[2])
stock = Stock(name="Harbour Satin 300", open_size_mm=(210, 297))
feed = Feed(name="rear", min_size_mm=(89, 127), max_size_mm=(329, 1000))
plan = plan_sheet(stock, Printer(name="Tern 8", feeds=(feed,)), trial_id=sys.argv[3])
printed = print_sheet(
    render(plan), plan.ppi, semi_gloss(), PrinterModel(), sheet_size_mm=plan.size_mm, at_ppi=ppi
)
write_scan(scan(printed, ScannerModel(ppi=ppi, tilt_deg=2.0, margin_mm=2.0)), folder / "scan.tif")
(folder / "plan.json").write_text(plan.model_dump_json())
"""

DECODE = """
import json, resource, sys, time
import pyvips
start = time.perf_counter()
image = pyvips.Image.new_from_file(sys.argv[1], access="sequential")
image.write_to_memory()
seconds = time.perf_counter() - start
print(json.dumps([seconds, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6, image.width, image.height]))
"""

READ = """
import json, resource, sys, time
from pathlib import Path
from tackside.records import SheetPlan
from tackside.reading.scan.read import read_scan
path = Path(sys.argv[1])
plan = SheetPlan.model_validate_json((path.parent / "plan.json").read_text())
start = time.perf_counter()
reading = read_scan(path, plan)
seconds = time.perf_counter() - start
memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
print(json.dumps([seconds, memory, len(reading.patches)]))
"""


def child(program: str, *arguments: str | Path) -> list[float]:
    done = subprocess.run(
        [sys.executable, "-c", program, *map(str, arguments)], check=True, stdout=subprocess.PIPE, text=True
    )
    return list(json.loads(done.stdout)) if done.stdout.strip() else []


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--ppi", type=float, default=600)
    parser.add_argument("--rounds", type=int, default=5)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        child(MAKE, folder, asked.ppi, TRIAL)
        path = folder / "scan.tif"
        child(DECODE, path)  # fills the disk's cache
        decoded, read = [], []
        for _ in range(asked.rounds):
            decoded.append(child(DECODE, path))
            read.append(child(READ, path))
        size_mb = path.stat().st_size / 1e6
    bare, whole = (statistics.median(each[0] for each in runs) for runs in (decoded, read))
    ratio = statistics.median(r[0] / d[0] for r, d in zip(read, decoded, strict=True))
    memory = max(each[1] for each in read)
    width, height = (int(each) for each in decoded[0][2:])
    print(
        f"{width} × {height} pixels at {asked.ppi:g} ppi, 16 bits, LZW, {size_mb:.0f} MB; medians of {asked.rounds}"
    )
    print(f"decoding by libvips  {bare:6.2f} s   {max(each[1] for each in decoded):5.2f} GB at most")
    print(f"reading              {whole:6.2f} s   {memory:5.2f} GB at most   {int(read[0][2])} patches")
    print(f"ratio                {ratio:6.2f}     (limits: {MOST_RATIO:g} times, {MOST_GB:g} GB)")


if __name__ == "__main__":
    main()
