"""Scanners through SANE's own command line, ``scanimage``, where it is installed.

Which options a device has, it says itself (``--all-options``); their names and the meaning of its exits are of SANE's
manual page and standard (docs/sources.md, S152).
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from tackside.errors import ScannerTrouble, ScanStopped
from tackside.reading.scanning.wish import ScanAsked, ScanWish, area_for, resolution_for

TOOL = "scanimage"
LIST_SECONDS, OPTIONS_SECONDS, SCAN_SECONDS = 20.0, 30.0, 900.0
_MOST_WORDS = 200_000
_USUAL_GLASS_MM = (215.0, 297.0)
# How SANE words a status (sane_strstatus, SANE standard 1.06), and what a person does about it.
_STATUS = {
    "Device busy": "scanning.busy",
    "Scanner cover is open": "scanning.cover-open",
    "Document feeder jammed": "scanning.jammed",
    "Document feeder out of documents": "scanning.no-picture",
    "Access to resource has been denied": "scanning.not-allowed",
    "Invalid argument": "scanning.sane-not-there",
    "Error during device I/O": "scanning.sane-broke-off",
    "Operation was cancelled": "scanning.stopped",
}
_CORRECTIONS = ("brightness", "contrast", "sharpness", "sharpen")
_OPTION = re.compile(r"^ {4}-{1,2}([A-Za-z][\w-]*)(?:\[=\(yes\|no\)\]|\s+(.*?))?(?:\s+\[([^\[\]]*)\])?\s*$")
_RANGE = re.compile(r"^(-?[\d.]+)\.\.(-?[\d.]+)[a-z%]*(?: \(\D*([\d.]+)\))?$")


@dataclass(frozen=True)
class SaneDevice:
    """``name`` as SANE calls it, ``model`` as its maker does."""

    name: str
    model: str


def is_installed() -> bool:
    """Whether there is a ``scanimage`` to ask."""
    return shutil.which(TOOL) is not None


def sane_devices() -> tuple[SaneDevice, ...]:
    """The devices that SANE finds; none where it is not installed, or does not answer in time."""
    if not is_installed():
        return ()
    try:
        found = _told(["--formatted-device-list=%d\t%v %m%n"], LIST_SECONDS)
    except ScannerTrouble:
        return ()
    lines = [line.split("\t") for line in found.splitlines() if line.count("\t") == 1]
    return tuple(SaneDevice(name, model.strip()[:100]) for name, model in lines)


def sane_options(device: str) -> dict[str, str]:
    """What can be set at a device: option → its choices as SANE writes them (``Gray|Color``, ``0..215mm``); those that
    are inactive left out. Raises ScannerTrouble."""
    if not is_installed():
        raise ScannerTrouble("scanning.no-sane")
    found = {}
    for line in _told([f"--device-name={device}", "--all-options"], OPTIONS_SECONDS, device).splitlines():
        known = _OPTION.match(line)
        if known and known[3] != "inactive":
            found[known[1]] = known[2] or "yes|no"
    return found


def scan_by_sane(
    device: str, wish: ScanWish, into: Path, hear: Callable[[str, float], None], stop: Callable[[], bool]
) -> ScanAsked:
    """Scan what lies on the glass into a TIFF; what was asked for. Raises ScannerTrouble.

    Where it fails, no file is left, and the device is told to cancel.
    """
    hear("asking", 0.0)
    asked, arguments = sane_asked(sane_options(device), wish, device)
    command = [TOOL, f"--device-name={device}", "--format=tiff", *arguments]
    whole = False
    try:
        _run(command, into, asked, hear, stop, device)
        whole = True
    finally:
        if not whole:
            with suppress(OSError):
                into.unlink(missing_ok=True)
    return asked


def sane_asked(options: dict[str, str], wish: ScanWish, device: str) -> tuple[ScanAsked, list[str]]:
    """What to ask a device with those options for, and how its command line says it. Raises ScannerTrouble."""
    arguments = []
    colour = next((each for each in _choices(options, "mode") if "color" in each.lower()), None)
    if "mode" in options:
        if colour is None:
            raise ScannerTrouble("scanning.no-colour", scanner=device)
        arguments.append(f"--mode={colour}")
    glass = next((each for each in _choices(options, "source") if "flatbed" in each.lower()), None)
    if glass is not None:
        arguments.append(f"--source={glass}")
    bits = 16 if 16.0 in _numbers(options, "depth", (8.0, 16.0)) else 8
    if "depth" in options:
        arguments.append(f"--depth={bits}")
    offered = [round(each) for each in _numbers(options, "resolution", (200.0, 300.0, 400.0, 600.0, 1200.0))]
    ppi = resolution_for(wish.ppi, offered) if offered else wish.ppi
    if offered:
        arguments.append(f"--resolution={ppi}")
    arguments += [f"--{name}=0" for name in _CORRECTIONS if 0.0 in _numbers(options, name, (0.0,))]
    spans = [_span(options.get(axis, "")) for axis in "xy"]
    whole = tuple(
        usual if span is None else span[1] for span, usual in zip(spans, _USUAL_GLASS_MM, strict=True)
    )
    glass_mm = (whole[0], whole[1])
    area = area_for(wish.sheet_mm, glass_mm)
    if all(span is not None for span in spans):
        arguments += ["-l", "0", "-t", "0", "-x", f"{area[0]:g}", "-y", f"{area[1]:g}"]
    else:
        area = glass_mm
    return ScanAsked(ppi, bits, "image/tiff", area, glass_mm), arguments


def _choices(options: dict[str, str], name: str) -> list[str]:
    return [each.strip() for each in options.get(name, "").split("|") if each.strip()]


def _numbers(options: dict[str, str], name: str, tried: Sequence[float]) -> list[float]:
    """The numbers that an option takes: those listed, or those of ``tried`` that are in its range."""
    span = _span(options.get(name, ""))
    if span is not None:
        return [
            each
            for each in tried
            if span[0] <= each <= span[1] and not (span[2] and (each - span[0]) % span[2])
        ]
    found = []
    for each in _choices(options, name):
        with suppress(ValueError):
            found.append(float(re.sub(r"[a-z%]+$", "", each)))
    return found


def _span(text: str) -> tuple[float, float, float] | None:
    """Least, most, step (0: any) of a range as ``0..200mm (in steps of 1)``."""
    found = _RANGE.match(text.strip())
    if found is None:
        return None
    return float(found[1]), float(found[2]), float(found[3] or 0)


def _told(arguments: list[str], seconds: float, device: str = "") -> str:
    try:
        done = subprocess.run(
            [TOOL, *arguments], capture_output=True, timeout=seconds, check=False, stdin=subprocess.DEVNULL,
            env=_english(), text=True, errors="replace",
        )  # fmt: skip
    except subprocess.TimeoutExpired as error:
        raise ScannerTrouble("scanning.silent", scanner=device or "SANE") from error
    except OSError as error:
        raise ScannerTrouble("scanning.no-sane") from error
    if done.returncode != 0:
        raise _trouble(done.stderr, device)
    return done.stdout[:_MOST_WORDS]


def _run(
    command: list[str], into: Path, asked: ScanAsked, hear: Callable[[str, float], None],
    stop: Callable[[], bool], device: str,
) -> None:  # fmt: skip
    hear("scanning", 0.0)
    errors: list[bytes] = []
    with into.open("wb") as file:
        try:
            process = subprocess.Popen(
                command, stdout=file, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, env=_english(),
            )  # fmt: skip
        except OSError as error:
            raise ScannerTrouble("scanning.no-sane") from error
        assert process.stderr is not None
        listener = threading.Thread(target=lambda: errors.append(_last_words(process)), daemon=True)
        listener.start()
        try:
            deadline = time.monotonic() + SCAN_SECONDS
            while process.poll() is None:
                size = into.stat().st_size
                if size > asked.most_bytes:
                    raise ScannerTrouble("scanning.endless", scanner=device)
                if stop():
                    raise ScanStopped("scanning.stopped")
                if time.monotonic() > deadline:
                    raise ScannerTrouble("scanning.never-ready", scanner=device)
                hear("scanning", min(0.99, size / asked.usual_bytes))
                time.sleep(0.1)
        finally:
            _ended(process)
            listener.join(timeout=5.0)
            process.stderr.close()
    if process.returncode != 0:
        raise _trouble(b"".join(errors).decode("utf-8", "replace"), device)


def _last_words(process: subprocess.Popen[bytes]) -> bytes:
    """What it says on standard error, its end where that is long."""
    said = b""
    assert process.stderr is not None
    with suppress(ValueError, OSError):
        while chunk := process.stderr.read(4096):
            said = (said + chunk)[-8192:]
    return said


def _ended(process: subprocess.Popen[bytes]) -> None:
    """Ask it to cancel, which sends the carriage home; end it where it does not."""
    if process.poll() is not None:
        return
    process.send_signal(signal.SIGTERM if sys.platform == "win32" else signal.SIGINT)
    try:
        process.wait(timeout=10.0)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def _trouble(said: str, device: str) -> ScannerTrouble:
    code = next((code for words, code in _STATUS.items() if words in said), None)
    if code is not None:
        return ScannerTrouble(code, scanner=device or "SANE")
    last = next((line for line in reversed(said.splitlines()) if line.strip()), "?")
    reason = last.strip().removeprefix(f"{TOOL}: ").strip()[:160].rstrip(".")
    return ScannerTrouble("scanning.sane-says", scanner=device or "SANE", reason=reason)


def _english() -> dict[str, str]:
    return {**os.environ, "LC_ALL": "C"}
