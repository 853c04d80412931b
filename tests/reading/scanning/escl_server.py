"""A scanner of our own on loopback that speaks eSCL, honest or lying as a test wants: an invented "Invented Scanner".

What it writes is from memory of the openly specified protocol (docs/sources.md, S151), like what the product reads; its
namespace for the scan's own elements is invented, as a scanner's is taken from its own document.
"""

from __future__ import annotations

import contextlib
import io
import math
import ssl
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pikepdf
import pyvips
from numpy.typing import NDArray

SCAN = "http://schemas.example/escl"
PWG = "http://www.pwg.org/schemas/2010/12/sm"
CERTIFICATES = Path(__file__).parent / "data"
GLASS_PX_AT_300 = (2550, 3508)  # 1/300 inch: A4 and a little across


@dataclass
class Scanner:
    """What lies on the glass, (h, w, 3) of 8 or 16 bits at 300 ppi from its corner, and how the scanner behaves.

    ``lie``: what it does wrong; see ``_Talk``. ``busy_jobs`` and ``busy_documents``: how often it says 503 first.
    ``gives_up_s``: how old a job grows that nobody ends.
    """

    glass: NDArray[Any]
    modes: tuple[str, ...] = ("Grayscale8", "RGB24", "RGB48")
    formats: tuple[str, ...] = ("application/pdf", "image/jpeg", "image/tiff")
    resolutions: tuple[int, ...] = (75, 300, 600)
    reasons: tuple[str, ...] = ()
    lie: str = ""
    busy_jobs: int = 0
    busy_documents: int = 0
    retry_after: str = "0"
    gives_up_s: float = math.inf
    settings: list[dict[str, str]] = field(default_factory=list)
    open_jobs: set[str] = field(default_factory=set)
    begun: dict[str, float] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)
    address: str = ""

    def capabilities(self) -> str:
        if self.lie == "entities":
            return '<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'
        if self.lie == "not xml":
            return "<html><p>Hello"
        if self.lie == "a document without end":
            return "<a>" + "<b/>" * 400_000 + "</a>"
        width, height = (10**9, 10**9) if self.lie == "a glass of miles" else GLASS_PX_AT_300
        modes = "".join(f"<scan:ColorMode>{each}</scan:ColorMode>" for each in self.modes)
        formats = "".join(
            f"<pwg:DocumentFormat>{each}</pwg:DocumentFormat><scan:DocumentFormatExt>{each}</scan:DocumentFormatExt>"
            for each in self.formats
        )
        steps = "".join(
            f"<scan:DiscreteResolution><scan:XResolution>{each}</scan:XResolution>"
            f"<scan:YResolution>{each}</scan:YResolution></scan:DiscreteResolution>"
            for each in self.resolutions
        )
        ranges = "".join(
            f"<scan:{name}Support><scan:Min>{least}</scan:Min><scan:Max>{most}</scan:Max>"
            f"<scan:Normal>{usual}</scan:Normal><scan:Step>1</scan:Step></scan:{name}Support>"
            for name, least, most, usual in (
                ("Brightness", 0, 2000, 1000), ("Contrast", 0, 2000, 1000), ("Sharpen", 0, 4, 2),
                ("CompressionFactor", 0, 4, 2),
            )
        )  # fmt: skip
        feeder = (
            "<scan:Adf><scan:AdfSimplexInputCaps><scan:MaxWidth>90</scan:MaxWidth></scan:AdfSimplexInputCaps>"
        )
        feeder += "</scan:Adf>"
        caps = "Other" if self.lie == "no glass" else "Platen"
        return f"""<?xml version="1.0" encoding="UTF-8"?>
<scan:ScannerCapabilities xmlns:scan="{SCAN}" xmlns:pwg="{PWG}"><pwg:Version>2.63</pwg:Version>
<pwg:MakeAndModel>Invented Scanner</pwg:MakeAndModel>{feeder}
<scan:{caps}><scan:{caps}InputCaps><scan:MinWidth>16</scan:MinWidth><scan:MaxWidth>{width}</scan:MaxWidth>
<scan:MinHeight>16</scan:MinHeight><scan:MaxHeight>{height}</scan:MaxHeight>
<scan:SettingProfiles><scan:SettingProfile><scan:ColorModes>{modes}</scan:ColorModes>
<scan:DocumentFormats>{formats}</scan:DocumentFormats><scan:SupportedResolutions><scan:DiscreteResolutions>{steps}
</scan:DiscreteResolutions></scan:SupportedResolutions></scan:SettingProfile></scan:SettingProfiles>
</scan:{caps}InputCaps></scan:{caps}>{ranges}</scan:ScannerCapabilities>"""

    def status(self) -> str:
        reasons = "".join(f"<pwg:StateReason>{each}</pwg:StateReason>" for each in self.reasons)
        state = "Stopped" if self.reasons else "Processing" if self.open_jobs else "Idle"
        return f"""<?xml version="1.0" encoding="UTF-8"?>
<scan:ScannerStatus xmlns:scan="{SCAN}" xmlns:pwg="{PWG}"><pwg:Version>2.63</pwg:Version>
<pwg:State>{state}</pwg:State><pwg:StateReasons>{reasons}</pwg:StateReasons></scan:ScannerStatus>"""

    def picture(self, asked: dict[str, str]) -> bytes:
        """The region of the glass as it was asked for, or as the lie has it."""
        width, height, ppi = (int(asked[name]) for name in ("Width", "Height", "XResolution"))
        bits = 16 if asked["ColorMode"] == "RGB48" else 8
        if self.lie == "another size":
            width, height = width * 2 // 3, height
        if self.lie == "the whole glass":
            width, height = GLASS_PX_AT_300
        sixteen = self.glass if self.glass.dtype == np.uint16 else self.glass.astype(np.uint16) * 257
        whole = np.full((*GLASS_PX_AT_300[::-1], 3), 52000, np.uint16)
        laid = sixteen[: whole.shape[0], : whole.shape[1]]
        whole[: laid.shape[0], : laid.shape[1]] = laid
        image = pyvips.Image.new_from_array(np.ascontiguousarray(whole[:height, :width]))
        image = image.copy(interpretation="rgb16")
        real = {"another resolution": 75, "finer than it says": 600}.get(self.lie, ppi)
        if real != 300:
            image = image.resize(real / 300, kernel="linear")
        if self.lie == "eight bits" or bits == 8:
            image = (image / 257).rint().cast("uchar").copy(interpretation="srgb")
        if self.lie == "eight bits in sixteen":
            image = ((image / 257).rint() * 257).cast("ushort").copy(interpretation="rgb16")
        if self.lie == "grey":
            image = image.colourspace("b-w")
        stated = {"another resolution": 75, "finer than it says": 300}.get(self.lie, ppi)
        image = image.copy(xres=stated / 25.4, yres=stated / 25.4)
        form = asked.get("DocumentFormatExt") or asked["DocumentFormat"]
        if self.lie == "a JPEG":
            form = "image/jpeg"
        if form == "image/tiff":
            return bytes(image.tiffsave_buffer(compression="none"))
        if form == "image/png":
            return bytes(image.pngsave_buffer(compression=1))
        jpeg = bytes(image.jpegsave_buffer(Q=92))
        return jpeg if form == "image/jpeg" else _pdf(jpeg, image.width, image.height, ppi)


def _pdf(jpeg: bytes, width: int, height: int, ppi: int) -> bytes:
    """A page that is one picture, as scanners make them."""
    made = pikepdf.new()
    page = made.add_blank_page(page_size=(width / ppi * 72, height / ppi * 72))
    picture = pikepdf.Stream(
        made, jpeg, Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Image, Width=width, Height=height,
        ColorSpace=pikepdf.Name.DeviceRGB, BitsPerComponent=8, Filter=pikepdf.Name.DCTDecode,
    )  # fmt: skip
    name = page.add_resource(picture, pikepdf.Name.XObject)
    wide, high = width / ppi * 72, height / ppi * 72
    page.Contents = made.make_stream(f"q {wide:f} 0 0 {high:f} 0 0 cm {name} Do Q".encode())
    held = io.BytesIO()
    made.save(held)
    return held.getvalue()


def settings_of(body: bytes) -> dict[str, str]:
    """Each element of the settings by its local name; the namespaces must be the scanner's own."""
    root = ElementTree.fromstring(body)
    assert root.tag == f"{{{SCAN}}}ScanSettings"
    found = {}
    for each in root.iter():
        namespace, _, name = each.tag[1:].partition("}")
        assert namespace in (SCAN, PWG)
        if each.text and each.text.strip():
            found[name] = each.text.strip()
    return found


class _Talk(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    scanner: Scanner

    def log_message(self, *_: object) -> None:
        pass

    def _answer(self, status: int, body: bytes = b"", **headers: str) -> None:
        self.send_response(status)
        for name, value in headers.items():
            self.send_header(name.replace("_", "-"), value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def do_GET(self) -> None:
        scanner = self.scanner
        scanner.asked.append(f"GET {self.path}")
        if scanner.lie == "redirect":
            self._answer(302, Location="http://elsewhere.invalid/eSCL/ScannerCapabilities")
        elif self.path == "/eSCL/ScannerCapabilities":
            self._answer(200, scanner.capabilities().encode(), Content_Type="text/xml")
        elif self.path == "/eSCL/ScannerStatus":
            self._answer(200, scanner.status().encode(), Content_Type="text/xml")
        elif self.path.endswith("/NextDocument"):
            self._next(self.path.split("/")[3])
        else:
            self._answer(404)

    def _next(self, job: str) -> None:
        scanner = self.scanner
        if job not in scanner.open_jobs or scanner.lie == "no picture":
            return self._answer(404)
        if scanner.busy_documents or scanner.lie == "never ready":
            scanner.busy_documents -= 1
            return self._answer(503, Retry_After=scanner.retry_after)
        if scanner.lie == "hangs":
            until = time.monotonic() + 20
            while job in scanner.open_jobs and time.monotonic() < until:
                time.sleep(0.05)
            return self._answer(410)
        if scanner.lie in ("endless", "drips"):
            return self._go_on(scanner.lie == "drips", job)
        data = scanner.picture(scanner.settings[-1])
        if scanner.lie == "a page of words":
            data = b"<html><body>Hello</body></html>"
        if scanner.lie == "truncated":
            data = data[: len(data) * 2 // 3]
        if scanner.lie == "cut":
            self.send_response(200)
            self.send_header("Content-Length", str(len(data)))
            self.end_headers()
            self.wfile.write(data[: len(data) // 2])
            self.close_connection = True
            return None
        return self._answer(200, data, Content_Type="image/tiff")

    def _go_on(self, drips: bool, job: str) -> None:
        """For as long as the other side listens, a minute at most."""
        self.send_response(200)
        self.end_headers()
        self.close_connection = True
        until = time.monotonic() + 60
        with contextlib.suppress(OSError):
            while time.monotonic() < until and job in self.scanner.open_jobs:
                self.wfile.write(b"II*\0" if drips else b"\0" * 1_000_000)
                self.wfile.flush()
                time.sleep(0.05 if drips else 0)

    def do_POST(self) -> None:
        scanner = self.scanner
        scanner.asked.append(f"POST {self.path}")
        body = self._body()
        scanner.open_jobs -= {
            job for job, since in scanner.begun.items() if time.monotonic() - since > scanner.gives_up_s
        }
        if (
            scanner.busy_jobs
            or scanner.lie == "always busy"
            or (scanner.open_jobs and scanner.lie != "redirect")
        ):
            scanner.busy_jobs = max(0, scanner.busy_jobs - 1)
            return self._answer(503, Retry_After=scanner.retry_after)
        settings = settings_of(body)
        if (
            scanner.lie == "refuses"
            or (scanner.lie == "refuses corrections" and "Sharpen" in settings)
            or (scanner.lie == "refuses depth" and settings["ColorMode"] == "RGB48")
        ):
            return self._answer(409)
        scanner.settings.append(settings)
        if scanner.lie == "no job":
            return self._answer(201)
        job = f"job-{len(scanner.settings)}"
        scanner.open_jobs.add(job)
        scanner.begun[job] = time.monotonic()
        # Many call themselves by another name than they were called by, some by another machine's.
        host = "evil.invalid" if scanner.lie == "a job elsewhere" else "scanner.invalid"
        return self._answer(201, Location=f"http://{host}/eSCL/ScanJobs/{job}")

    def _body(self) -> bytes:
        if self.headers.get("Transfer-Encoding", "") != "chunked":
            return self.rfile.read(int(self.headers.get("Content-Length", "0")))
        body = b""
        while size := int(self.rfile.readline(), 16):
            body += self.rfile.read(size)
            self.rfile.readline()
        self.rfile.readline()
        return body

    def do_DELETE(self) -> None:
        self.scanner.asked.append(f"DELETE {self.path}")
        self.scanner.open_jobs.discard(self.path.rpartition("/")[2])
        self._answer(200)


class _Quiet(ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, request: object, client_address: object) -> None:
        """The other side may leave when it has seen enough."""


@contextlib.contextmanager
def scanner_of(
    glass: NDArray[Any], certificate: str | None = None, port: int = 0, **how: Any
) -> Iterator[Scanner]:
    """A scanner with that on its glass; encrypted where it has a ``certificate``, a file of ``data/``."""
    scanner = Scanner(glass, **how)
    server = _Quiet(("127.0.0.1", port), type("Talk", (_Talk,), {"scanner": scanner}))
    if certificate is not None:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(CERTIFICATES / certificate)
        server.socket = context.wrap_socket(server.socket, server_side=True)
    scheme = "http" if certificate is None else "https"
    scanner.address = f"{scheme}://127.0.0.1:{server.server_address[1]}/eSCL"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
    thread.start()
    try:
        yield scanner
    finally:
        server.shutdown()
        server.server_close()
        thread.join(timeout=5)


if __name__ == "__main__":
    # In a process of its own: its address in a line, and there until whoever called it has gone.
    with scanner_of(np.full((1200, 1200, 3), 50000, np.uint16), modes=("RGB24",), gives_up_s=1.0) as alone:
        print(alone.address, flush=True)
        sys.stdin.read()
