"""What an error of the operating system means to a person, as a message with its fix."""

from __future__ import annotations

import errno

from tackside.messages.message import Message

# errno → the code of what is wrong.
_REASONS: dict[int, str] = {
    errno.ENOSPC: "file.disk-full",
    errno.EDQUOT: "file.share-used-up",
    errno.EFBIG: "file.larger-than-allowed",
    errno.EACCES: "file.permission-refused",
    errno.EPERM: "file.permission-refused",
    errno.EROFS: "file.disk-read-only",
    errno.ENOENT: "file.nothing-there",
    errno.ENOTDIR: "file.path-through-file",
    errno.EISDIR: "file.is-folder",
    errno.ENAMETOOLONG: "file.name-too-long",
    errno.ELOOP: "file.links-in-a-circle",
    errno.EIO: "file.disk-fault",
    errno.EMFILE: "file.too-many-open",
}


def reason_of(error: OSError) -> Message:
    """What an OSError means to a person: a fault, its fix with it."""
    code = _REASONS.get(error.errno or 0)
    return Message(code) if code else Message("file.system-says", said=error.strerror or type(error).__name__)
