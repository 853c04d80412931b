"""Hostile XML kept out: no document type, no entities, no network, no bottomless nesting."""

from __future__ import annotations

from io import BytesIO

from lxml import etree

from tackside.errors import BadInstrumentFile

# CxF's own deepest element lies some ten levels down; lxml itself stops at 256 levels and 10 MB a text.
DEEPEST = 40
MOST_ELEMENTS = 500_000


def parse_guarded(text: str, name: str) -> etree._Element:
    """The root of an XML document, or BadInstrumentFile: broken, bombed or nested too deep.

    A document that declares a document type or an entity is refused before a parser sees it.
    """
    if "<!DOCTYPE" in text or "<!ENTITY" in text:
        raise BadInstrumentFile("instrument.document-type", file=name)
    source = BytesIO(_without_declaration(text).encode("utf-8", "replace"))
    events = etree.iterparse(
        source,
        events=("start", "end"),
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        huge_tree=False,
        remove_comments=True,
        remove_pis=True,
    )
    try:
        _walk(events, name)
    except etree.XMLSyntaxError as error:
        reason = (error.msg or "not XML").partition(", line")[0]
        raise BadInstrumentFile(
            "instrument.broken-xml", file=name, line=error.lineno or 1, reason=reason
        ) from error
    root: etree._Element = events.root
    return root


def _walk(events: etree.iterparse, name: str) -> None:
    """Parse to the end, unless the document turns out deeper or fuller than a measurement is."""
    count = depth = 0
    for event, _ in events:
        count += event == "start"
        depth += 1 if event == "start" else -1
        if depth > DEEPEST:
            raise BadInstrumentFile("instrument.nested-too-deep", file=name, limit=DEEPEST)
        if count > MOST_ELEMENTS:
            raise BadInstrumentFile("instrument.too-many-elements", file=name, limit=MOST_ELEMENTS)


def _without_declaration(text: str) -> str:
    """The document less its XML declaration: it names the encoding of bytes that are text by now.

    Line breaks stay, so that line numbers hold.
    """
    body = text.lstrip("\ufeff \t")
    end = body.find("?>")
    if not body.lstrip("\n").startswith("<?xml ") or end < 0:
        return body
    return "\n" * body.count("\n", 0, end) + body[end + 2 :]
