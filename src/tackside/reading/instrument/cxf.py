"""CxF/X-3 (ISO 17972-3): XML colour exchange. Objects to a MeasuredSet, with hostile XML kept out.

Elements are told by their local names, whatever prefix their namespace carries. No document type, no
entities, no network (``guarded_xml``).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from lxml import etree

from tackside.colour.spaces import xyz_to_lab
from tackside.errors import BadInstrumentFile
from tackside.messages.message import Message
from tackside.reading.instrument.columns import number_of
from tackside.reading.instrument.conditions import condition_in
from tackside.reading.instrument.guarded_xml import parse_guarded
from tackside.reading.instrument.measured import (
    MOST_ROWS,
    FileLine,
    Floats,
    LineOf,
    MeasuredSet,
    checked_lab,
    device_to_unit,
    spectra_to_unit,
    spectral_lab,
    unit_interval,
    xyz_to_unit,
)
from tackside.records.reading import MeasurementCondition

_RGB_PARTS = (("R", "G", "B"), ("Red", "Green", "Blue"))
_CMYK_PARTS = (("Cyan", "Magenta", "Yellow", "Black"), ("C", "M", "Y", "K"))


@dataclass(frozen=True)
class _Specification:
    """What a ColorSpecification says, as far as it matters here."""

    start_nm: float | None = None
    step_nm: float | None = None
    foreign: tuple[Message, ...] = ()
    condition: MeasurementCondition | None = None
    device: str | None = None


@dataclass(frozen=True)
class _Device:
    """Device numbers as written, and the top of their range where the file says it."""

    numbers: tuple[float, ...]
    top: float | None


@dataclass(frozen=True)
class _Sample:
    """One Object with a colour: ``values`` by ``kind``, which all samples must share."""

    name: str
    line: int
    kind: str
    values: tuple[float, ...]
    grid: tuple[float, float] | None
    rgb: _Device | None
    cmyk: _Device | None
    specification: _Specification


def parse_cxf(text: str, name: str) -> MeasuredSet:
    """The measured objects of a CxF document; raises BadInstrumentFile with the line of the fault."""
    root = parse_guarded(text, name)
    if _local(root) != "CxF":
        raise BadInstrumentFile("instrument.not-cxf", file=name, root=_local(root)[:40])
    if sum(1 for _ in _all(root, "Object")) > MOST_ROWS:
        raise BadInstrumentFile("instrument.too-many-objects", file=name, limit=MOST_ROWS)
    specifications = {
        element.get("Id", ""): _specification(element, name) for element in _all(root, "ColorSpecification")
    }
    samples = [sample for item in _all(root, "Object") if (sample := _sample(item, specifications, name))]
    if not samples:
        raise BadInstrumentFile("instrument.no-colours", file=name)
    kind = next(k for k in ("spectrum", "lab", "xyz") if any(sample.kind == k for sample in samples))
    used = [sample for sample in samples if sample.kind == kind]

    def place(row: int) -> FileLine:
        return FileLine(name, used[row].line)

    lab, notices = _lab(used, kind, name)
    if len(used) < len(samples):
        left_out = len(samples) - len(used)
        notices.append(Message(f"instrument.objects-without-{kind}", count=left_out))
    rgb, rgb_notice = _device(used, "rgb", place)
    cmyk, cmyk_notice = _device(used, "cmyk", place)
    first = used[0].specification
    return MeasuredSet(
        names=tuple((sample.name,) if sample.name else () for sample in used),
        rgb=rgb,
        cmyk=cmyk,
        lab=lab,
        condition=first.condition,
        device=first.device,
        notices=(*notices, *rgb_notice, *cmyk_notice),
    )


def _specification(element: etree._Element, name: str) -> _Specification:
    illuminant, observer = _text(element, "Illuminant"), _text(element, "Observer")
    foreign: list[Message] = []
    if illuminant and illuminant.upper() != "D50":
        foreign.append(Message("instrument.illuminant", illuminant=illuminant))
    if observer and observer.startswith("10"):
        foreign.append(Message("instrument.observer-10"))
    span = next(_all(element, "WavelengthRange"), None)
    light = " ".join(filter(None, (_text(element, "DeviceIllumination"), _text(element, "DeviceFilter"))))
    device = " ".join(filter(None, (_text(element, "Manufacturer"), _text(element, "Model"))))
    return _Specification(
        start_nm=_attribute(span, "StartWL", name),
        step_nm=_attribute(span, "Increment", name),
        foreign=tuple(foreign),
        condition=condition_in(light.replace("_", " ")),
        device=device or None,
    )


def _sample(item: etree._Element, specifications: dict[str, _Specification], name: str) -> _Sample | None:
    """The best colour of one Object (spectrum before Lab before XYZ), or None where it has none."""
    label = item.get("Name") or item.get("Id") or ""
    choices = (
        ("spectrum", next(_all(item, "ReflectanceSpectrum"), None)),
        ("lab", next(_all(item, "ColorCIELab"), None)),
        ("xyz", next(_all(item, "ColorCIEXYZ"), None)),
    )
    for kind, element in choices:
        if element is None:
            continue
        specification = specifications.get(element.get("ColorSpecification", ""), _Specification())
        parts = {"lab": ("L", "A", "B"), "xyz": ("X", "Y", "Z")}.get(kind)
        values = _parts(element, parts, name) if parts else _words(element, name)
        return _Sample(
            name=label,
            line=element.sourceline or 0,
            kind=kind,
            values=values,
            grid=_grid(element, specification, name) if kind == "spectrum" else None,
            rgb=_device_values(item, "ColorRGB", _RGB_PARTS, name),
            cmyk=_device_values(item, "ColorCMYK", _CMYK_PARTS, name),
            specification=specification,
        )
    return None


def _grid(element: etree._Element, specification: _Specification, name: str) -> tuple[float, float]:
    """First wavelength and step in nm of a ReflectanceSpectrum."""
    own_start = _attribute(element, "StartWL", name)
    start = own_start if own_start is not None else specification.start_nm
    step = _attribute(element, "Increment", name) or specification.step_nm
    if start is None or not step:
        raise BadInstrumentFile("instrument.no-wavelengths", file=name, line=element.sourceline)
    return start, step


def _lab(samples: list[_Sample], kind: str, name: str) -> tuple[Floats, list[Message]]:
    def place(row: int) -> FileLine:
        return FileLine(name, samples[row].line)

    odd = [s for s in samples if len(s.values) != len(samples[0].values) or s.grid != samples[0].grid]
    if odd:
        raise BadInstrumentFile("instrument.other-wavelengths", file=name, line=odd[0].line)
    values = np.array([sample.values for sample in samples], dtype=float)
    foreign = next((s.specification.foreign for s in samples if s.specification.foreign), ())
    if kind == "spectrum" and samples[0].grid is not None:
        start, step = samples[0].grid
        spectra = spectra_to_unit(values.reshape(len(samples), -1), place)
        wavelengths = np.array([start + step * band for band in range(spectra.shape[1])], dtype=np.float64)
        lab = spectral_lab(spectra, wavelengths, name, place)
        return lab, [Message("instrument.computed-again", foreign=foreign)] if foreign else []
    if foreign:
        raise BadInstrumentFile("instrument.foreign-light-cxf", file=name, foreign=foreign)
    if kind == "xyz":
        values = xyz_to_lab(xyz_to_unit(values, place))
    return checked_lab(values, place), []


def _device(samples: list[_Sample], which: str, place: LineOf) -> tuple[Floats | None, tuple[Message, ...]]:
    """Device numbers of all samples, 0 to 1, or None where any sample has none."""
    given = [sample.rgb if which == "rgb" else sample.cmyk for sample in samples]
    colours = which.upper()
    present = [values for values in given if values is not None]
    if not present:
        return None, ()
    if len(present) < len(given):
        return None, (
            Message(
                "instrument.some-without-numbers", count=len(present), objects=len(given), colours=colours
            ),
        )
    numbers = np.array([values.numbers for values in present], dtype=float)
    tops = [values.top for values in present if values.top is not None]
    if len(tops) == len(present):
        return unit_interval(numbers / np.array(tops)[:, None], colours, place), ()
    unit, top = device_to_unit(numbers, colours, place)
    return unit, (Message("instrument.range-inferred", colours=colours, top=top),)


def _device_values(
    item: etree._Element, tag: str, parts: tuple[tuple[str, ...], ...], name: str
) -> _Device | None:
    element = next(_all(item, tag), None)
    if element is None:
        return None
    found = {_local(child) for child in element}
    for names in parts:
        if found.issuperset(names):
            top = _text(element, "MaxRange")
            highest = number_of(top) if top else None
            return _Device(_parts(element, names, name), highest if highest and highest > 0 else None)
    raise BadInstrumentFile("instrument.part-missing", file=name, line=element.sourceline, element=tag)


def _parts(element: etree._Element, parts: tuple[str, ...], name: str) -> tuple[float, ...]:
    """The numbers of the named children, whose names may be in either case."""
    texts = {_local(child).upper(): (child.text or "").strip() for child in element}
    numbers = []
    for part in parts:
        told = texts.get(part.upper())
        if told is None:
            raise BadInstrumentFile(
                "instrument.named-part-missing",
                file=name,
                line=element.sourceline,
                element=_local(element),
                part=part,
            )
        numbers.append(_number(told, element, name))
    return tuple(numbers)


def _words(element: etree._Element, name: str) -> tuple[float, ...]:
    words = (element.text or "").split()
    if not words:
        raise BadInstrumentFile("instrument.spectrum-empty", file=name, line=element.sourceline)
    return tuple(_number(word, element, name) for word in words)


def _number(word: str, element: etree._Element, name: str) -> float:
    value = number_of(word)
    if value is None:
        raise BadInstrumentFile(
            "instrument.element-no-number",
            file=name,
            line=element.sourceline,
            word=" ".join(word.split())[:40],
            element=_local(element),
        )
    return value


def _attribute(element: etree._Element | None, key: str, name: str) -> float | None:
    told = element.get(key) if element is not None else None
    return None if element is None or told is None else _number(told, element, name)


def _local(element: etree._Element) -> str:
    tag = element.tag
    return str(etree.QName(tag).localname) if isinstance(tag, str) else ""


def _all(element: etree._Element, local: str) -> Iterator[etree._Element]:
    """All descendants with this local name, in file order."""
    return (item for item in element.iter(f"{{*}}{local}") if item is not element)


def _text(element: etree._Element, local: str) -> str | None:
    found = next(_all(element, local), None)
    return (found.text or "").strip() or None if found is not None else None
