"""What is said of a PDF that came back as a scan."""

from tackside.messages.catalogue import Fault

_AS_PICTURE = "have the scanner save TIFF, PNG or JPEG"

TEXTS = {
    "document.locked": Fault("{file} is locked with a password", "save it without one"),
    "document.damaged": Fault("{file} is a PDF that cannot be opened", f"scan again, or {_AS_PICTURE}"),
    "document.too-many-pages": Fault(
        "{file} has {count} pages; at most {most} are read", "give the pages with the test sheets alone"
    ),
    "document.page-damaged": Fault("{file}: page {page} is damaged", f"scan again, or {_AS_PICTURE}"),
    "document.drawn": Fault(
        "{file}: page {page} is drawn, not scanned", f"give the scan itself; best {_AS_PICTURE}"
    ),
    "document.empty-page": Fault("{file}: page {page} holds no picture", "leave empty pages out of the scan"),
    "document.several-images": Fault(
        "{file}: page {page} holds {count} pictures, as packing for small files makes them",
        f"turn that packing off, or {_AS_PICTURE}",
    ),
    "document.flipped": Fault("{file}: page {page} shows its picture as in a mirror", _AS_PICTURE),
    "document.black-and-white": Fault(
        "{file}: page {page} is a scan in black and white", "scan again in colour (RGB, 24 or 48 bits)"
    ),
    "document.strange-image": Fault(
        "{file}: page {page} holds a picture that cannot be unpacked", _AS_PICTURE
    ),
}
