"""Files that cannot be read or written, and TOML files that are none."""

from tackside.messages.catalogue import Entry, Fault, Where

_AGAIN = Where("free some space, then run this again", "free some space, then try again")

TEXTS: dict[str, Entry] = {
    "file.none-named": Fault("no file is named", Where("name one TOML file or several", "choose a file")),
    "file.did-you-mean": "did you mean '{near}'?",
    # The disk and its files. A reason is said within the sentence that names the file.
    "file.cannot-read": Fault("cannot read {file}: {reason}", "{reason:fix}"),
    "file.cannot-write": Fault("cannot write {file}: {reason}", "{reason:fix}"),
    "file.cannot-use": Fault("cannot use {file}: {reason}", "{reason:fix}"),
    "file.disk-refuses": Fault("the disk refuses: {reason}", "{reason:fix}"),
    "file.disk-full": Fault("the disk is full", _AGAIN),
    "file.share-used-up": Fault("your share of the disk is used up", _AGAIN),
    "file.larger-than-allowed": Fault(
        "the file is larger than this disk or account allows", "choose a folder on another disk"
    ),
    "file.permission-refused": Fault(
        "permission is refused", "choose a folder that you may write to, or change its permissions"
    ),
    "file.disk-read-only": Fault(
        "the disk can only be read", "choose a folder on a disk that can be written"
    ),
    "file.nothing-there": Fault(
        "the file or its folder does not exist", "check the name, or make the folder first"
    ),
    "file.path-through-file": Fault("a part of its path is a file, not a folder", "check the name"),
    "file.there-already": Fault(
        "{file} exists already",
        Where("choose another name, or replace it with --force", "choose another name"),
    ),
    "file.is-an-input": Fault("{file} is one of the files to read", "give what is written another name"),
    "file.is-folder": Fault("it is a folder", "name a file"),
    "file.is-device": Fault("it is a device, not a file", "name a file"),
    "file.is-pipe-or-device": Fault(
        "it is a pipe or a device, not a file", "save it to a file, and name that"
    ),
    "file.larger-than-taken": Fault(
        "it is larger than {limit_mb} MB", "check that it is the file that you mean"
    ),
    "file.links-in-a-circle": Fault("its links run in a circle", "name the file itself"),
    "file.name-too-long": Fault("the name is too long", "choose a shorter name"),
    "file.name-holds-nul": Fault("the name has a NUL character, which no name can", "check the name"),
    "file.name-not-text": Fault(
        "the name has bytes that are no text in this system's encoding",
        "give the file or folder another name",
    ),
    "file.disk-fault": Fault(
        "the disk reports a fault", "check the disk, and keep a copy of your records elsewhere"
    ),
    "file.too-many-open": Fault(
        "too many files are open",
        Where("close other programs, then run this again", "close other programs, then try again"),
    ),
    "file.system-says": Fault("{said}", "check the disk and the name"),
    "file.emptied-in-use": Fault(
        "{folder} was emptied while it was in use", Where("run this again", "try again")
    ),
    # TOML files.
    "file.folder-for-toml": Fault("{file} is a folder, not a TOML file", "name the file in it"),
    "file.not-there": Fault("there is no file {file}", "check the name and the folder"),
    "file.too-large-for-toml": Fault(
        "{file} is larger than a record can be (1 MB)", "name a TOML file, not a picture or scan"
    ),
    "file.no-utf-8": Fault("{file}, line {line}: not UTF-8 text", "save it as UTF-8, or name the right file"),
    "file.nested-too-deeply": Fault("{file} is nested too deeply", "write it as the examples show"),
    "file.huge-number": Fault("{file} holds a number of thousands of digits", "check its numbers"),
    "file.no-toml": Fault("{file}, line {line}: not valid TOML ({said})", "{slip}"),
    "file.toml-twice": "give each field and table once",
    "file.toml-comma": "write decimals with a point, as 0.32",
    "file.toml-curly-quotes": 'use straight quotes, as "photo"',
    "file.toml-no-quotes": 'put words in quotes, as base = "photo"',
    "file.toml-line": 'write each field as name = value, words in quotes, as base = "photo"',
}
