"""PDF files written through a stream that never fails while qpdf writes: it ends the whole program otherwise.

An error raised in the middle of qpdf's writing reaches its C++ code where none may (qpdf 12, on a full disk). So the
first one is kept, what follows is dropped, and it is raised once qpdf is done.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any, BinaryIO, cast

import pikepdf


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
