"""PDF files read within bounds, and written through a stream that never fails while qpdf writes: it ends the whole
program otherwise.

An error raised in the middle of qpdf's writing reaches its C++ code where none may (qpdf 12, on a full disk). So the
first one is kept, what follows is dropped, and it is raised once qpdf is done.
"""

from __future__ import annotations

import contextlib
import io
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO, cast

import pikepdf

_LIMITS = threading.RLock()  # they are the whole process's


@contextlib.contextmanager
def unpacking_at_most(most_bytes: int) -> Iterator[None]:
    """Within it no stream of a PDF is unpacked to more: a few bytes may stand for gigabytes. qpdf raises PdfError, in
    the middle of unpacking. (Of LZW it knows no limit.)"""
    with _LIMITS:
        before = pikepdf.settings.get_qpdf_limits()
        pikepdf.settings.set_qpdf_limits(
            flate_max_memory=most_bytes, run_length_max_memory=most_bytes, png_max_memory=most_bytes,
            tiff_max_memory=most_bytes, dct_max_memory=most_bytes,
        )  # fmt: skip
        try:
            yield
        finally:
            pikepdf.settings.set_qpdf_limits(**before)  # type: ignore[arg-type]  # what it handed out itself


def save_patiently(pdf: pikepdf.Pdf, path: Path, **options: Any) -> None:
    """``pdf.save(path, **options)``. Raises OSError where the disk refuses."""
    with path.open("wb") as file:
        stream = _Patient(file)
        pdf.save(cast(BinaryIO, stream), **options)
        if stream.refused is not None:
            raise stream.refused


class _Patient(io.RawIOBase):
    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self._at = 0
        self.refused: OSError | None = None

    def writable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def tell(self) -> int:
        return self._at

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        if (offset, whence) not in ((self._at, io.SEEK_SET), (0, io.SEEK_CUR), (0, io.SEEK_END)):
            raise io.UnsupportedOperation("it is written from end to end")
        return self._at

    def write(self, data: Any) -> int:
        size = memoryview(data).nbytes
        if self.refused is None:
            try:
                self._file.write(data)
            except OSError as error:
                self.refused = error
        self._at += size
        return size
