"""What a release consists of, as a list of components that programs read (SBOM): CycloneDX 1.6 in JSON.

It says what tools/licences.toml and the locks say: the packages that are installed with Tackside and with its extras,
whose parts they carry, and what of others lies in the wheel itself. ECMA-424 is the standard's text.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

from cyclonedx.model import HashAlgorithm, HashType, Property
from cyclonedx.model.bom import Bom, BomMetaData
from cyclonedx.model.component import Component, ComponentScope, ComponentType
from cyclonedx.model.license import LicenseExpression
from cyclonedx.output.json import JsonV1Dot6
from license_expression import get_spdx_licensing
from packageurl import PackageURL

from tackside import __version__
from tools.licences import ROOT, TABLE, Table, identifiers, read_locks, read_table
from tools.notice import LOCKS, RUN, TOOLS, reasons

SPDX = get_spdx_licensing()


def components(files: Sequence[Path], when: int) -> str:
    """The document for these files of a release, dated ``when`` (seconds since 1970); the same text each time."""
    table = read_table(TABLE.read_text(encoding="utf-8"))
    texts = {kind: (ROOT / "locks" / f"{kind}.txt").read_text(encoding="utf-8") for kind in LOCKS}
    locked = read_locks(texts.values())
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    why = reasons(project, read_locks([texts["run"]]), locked)

    product = _product(table, files)
    packages = {
        name: [_package(table, name, version, why[name]) for version in locked[name].versions]
        for name in sorted(locked)
        if why[name] != TOOLS
    }
    bom = Bom(
        serial_number=uuid5(NAMESPACE_URL, " ".join(_sha256(each) for each in files)),
        metadata=BomMetaData(component=product, timestamp=datetime.fromtimestamp(when, tz=UTC)),
        components=[each for several in packages.values() for each in several],
    )
    everyone = {"tackside": [product], **packages}
    for parent, several in everyone.items():
        needed = [each for name in packages if parent in locked[name].parents for each in packages[name]]
        for one in several:
            bom.register_dependency(one, needed)
    return str(JsonV1Dot6(bom).output_as_string(indent=1)) + "\n"


def _product(table: Table, files: Iterable[Path]) -> Component:
    made = [
        Component(
            type=ComponentType.FILE,
            name=each.name,
            bom_ref=each.name,
            hashes=[HashType(alg=HashAlgorithm.SHA_256, content=_sha256(each))],
        )
        for each in files
    ]
    others = [
        Component(
            type=ComponentType.FILE,
            name=each.what,
            bom_ref=f"included: {each.what}",
            copyright=each.copyright,
            licenses=_licence(each.licence),
            properties=[Property(name="tackside:file", value=where) for where in each.where],
        )
        for each in table.included
        if each.shipped
    ]
    return Component(
        type=ComponentType.APPLICATION,
        name="tackside",
        version=__version__,
        bom_ref=f"tackside@{__version__}",
        licenses=_licence("Apache-2.0"),
        components=[*made, *others],
    )


def _package(table: Table, name: str, version: str, why: str) -> Component:
    bundle = table.bundled.get(name)
    reference = f"{name}@{version}"
    parts = [
        Component(
            type=ComponentType.LIBRARY,
            name=part.name,
            bom_ref=f"{reference}: {part.name}",
            licenses=_licence(part.licence),
        )
        for part in (bundle.parts if bundle else ())
    ]
    return Component(
        type=ComponentType.LIBRARY,
        name=name,
        version=version,
        bom_ref=reference,
        scope=ComponentScope.REQUIRED if why == RUN else ComponentScope.OPTIONAL,
        licenses=_licence(table.packages[name].licence),
        purl=PackageURL(type="pypi", name=name, version=version),
        properties=[] if why == RUN else [Property(name="tackside:for", value=why)],
        components=parts,
    )


def _licence(expression: str) -> list[LicenseExpression]:
    """As an expression of SPDX: an identifier that its list lacks becomes a reference of our own."""
    for each in identifiers(expression):
        if not each.startswith("LicenseRef-") and SPDX.unknown_license_keys(each):
            expression = re.sub(rf"(?<![\w.-]){re.escape(each)}(?![\w.-])", f"LicenseRef-{each}", expression)
    return [LicenseExpression(expression)]


def _sha256(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()
