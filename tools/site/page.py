"""A page of Markdown as HTML: anchors as GitHub gives them, figures, tables that scroll, links between pages."""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.token import Token
from PIL import Image
from pygments import highlight
from pygments.formatters import HtmlFormatter
from pygments.lexers import get_lexer_by_name
from pygments.util import ClassNotFound

PICTURES = {".webp", ".png", ".svg"}


@dataclass(frozen=True)
class Heading:
    level: int
    anchor: str
    words: str


@dataclass
class Page:
    """``html`` without the first heading, which is ``title``. ``files``: what it shows or offers, to be copied."""

    title: str = ""
    lead: str = ""
    html: str = ""
    headings: list[Heading] = field(default_factory=list)
    files: set[Path] = field(default_factory=set)


class LostLink(ValueError):
    """A link of a page that leads nowhere."""


def anchor_of(words: str, taken: set[str]) -> str:
    """As GitHub makes it: small letters, spaces as hyphens, signs left out, a number behind what was there before."""
    plain = re.sub(r"[^\w\- ]", "", words.lower()).replace(" ", "-")
    anchor, number = plain, 0
    while anchor in taken:
        number += 1
        anchor = f"{plain}-{number}"
    taken.add(anchor)
    return anchor


def render(source: Path, addresses: Mapping[Path, str]) -> Page:
    """Raises LostLink where a link of this project leads to nothing that the site holds."""
    page = Page()
    parser = MarkdownIt("commonmark", {"highlight": _coloured}).enable("table")
    tokens = parser.parse(source.read_text(encoding="utf-8"))
    taken: set[str] = set()
    at, tables = "Figures", Counter[str]()
    for number, token in enumerate(tokens):
        if token.type == "heading_open":
            words = _plain(tokens[number + 1].children or ())
            anchor = anchor_of(words, taken)
            token.attrSet("id", anchor)
            page.headings.append(Heading(int(token.tag[1]), anchor, words))
            at = words
        elif token.type == "table_open":
            tables[at] += 1
            token.meta["label"] = at if tables[at] == 1 else f"{at}, {tables[at]}"
        elif token.type == "th_open" and not tokens[number + 1].content:
            token.tag = tokens[number + 2].tag = "td"  # a corner that is the heading of nothing
        elif token.type == "inline":
            _inline(token, source, addresses, page)
    if not page.headings or page.headings[0].level != 1:
        raise LostLink(f"{source} begins with no title")
    page.title = page.headings[0].words
    page.lead = next((_plain(each.children or ()) for each in tokens[3:] if each.type == "inline"), "")
    for rule in (_table_open, _table_close, _paragraph_open, _paragraph_close, _image, _fence, _code_block):
        parser.add_render_rule(rule.__name__.removeprefix("_"), rule)
    page.html = parser.renderer.render(tokens[3:], parser.options, {"figures": _figures(tokens)})
    return page


def _plain(children: Sequence[Token]) -> str:
    return "".join(" " if each.type == "softbreak" else each.content for each in children)


def _inline(token: Token, source: Path, addresses: Mapping[Path, str], page: Page) -> None:
    for child in token.children or ():
        if child.type == "link_open":
            child.attrSet("href", _target(str(child.attrGet("href")), source, addresses, page))
        elif child.type == "image":
            file = Path(os.path.normpath(source.parent / str(child.attrGet("src"))))
            if not file.is_file():
                raise LostLink(f"{source}: there is no picture {child.attrGet('src')}")
            page.files.add(file)
            child.attrSet("src", f"pictures/{file.name}")
            if file.suffix != ".svg":
                with Image.open(file) as image:
                    child.attrSet("width", str(image.width))
                    child.attrSet("height", str(image.height))


def _target(href: str, source: Path, addresses: Mapping[Path, str], page: Page) -> str:
    if href.startswith(("#", "https:", "mailto:")):
        return href
    path, hash_, anchor = href.partition("#")
    file = Path(os.path.normpath(source.parent / path))
    if file in addresses:
        return addresses[file] + hash_ + anchor
    if file.is_file() and file.suffix in {*PICTURES, ".json"}:
        page.files.add(file)
        folder = "schemas" if file.suffix == ".json" else "pictures"
        return f"{folder}/{file.name}"
    raise LostLink(f"{source}: the link to {href} leads to no page of the site")


def _figures(tokens: Sequence[Token]) -> set[int]:
    """Paragraphs of nothing but pictures, by identity. The title of one alone is its caption; of several each has its
    own, and they lie side by side."""
    found = set()
    for before, token, after in zip(tokens, tokens[1:], tokens[2:], strict=False):
        images = [each for each in token.children or () if each.type == "image"]
        if (
            token.type != "inline"
            or not images
            or any(each.type not in {"image", "softbreak"} for each in token.children or ())
        ):
            continue
        found |= {id(before), id(after)}
        titles = [str(each.attrs.pop("title", "")) for each in images]
        if len(images) == 1:
            after.meta["caption"] = titles[0]
            continue
        before.meta["several"] = True
        for image, title in zip(images, titles, strict=True):
            image.meta["caption"] = title
    return found


Rule = Callable[..., str]


def _paragraph_open(self: Any, tokens: Sequence[Token], at: int, options: Any, env: Any) -> str:
    if id(tokens[at]) in env["figures"]:
        return '<div class="prints">' if tokens[at].meta.get("several") else "<figure>"
    return str(self.renderToken(tokens, at, options, env))


def _paragraph_close(self: Any, tokens: Sequence[Token], at: int, options: Any, env: Any) -> str:
    if id(tokens[at]) in env["figures"]:
        if "caption" not in tokens[at].meta:
            return "</div>\n"
        said = escape(tokens[at].meta["caption"])
        return f"<figcaption>{said}</figcaption></figure>\n" if said else "</figure>\n"
    return str(self.renderToken(tokens, at, options, env))


def _image(self: Any, tokens: Sequence[Token], at: int, options: Any, env: Any) -> str:
    token = tokens[at]
    token.attrSet("alt", self.renderInlineAsText(token.children or [], options, env))
    shown = f"<img{self.renderAttrs(token)}>"
    if "caption" not in token.meta:
        return shown
    return f"<figure>{shown}<figcaption>{escape(token.meta['caption'])}</figcaption></figure>"


def _table_open(self: Any, tokens: Sequence[Token], at: int, options: Any, env: Any) -> str:
    label = escape(f"Table: {tokens[at].meta['label']}", quote=True)
    return f'<div class="scroller" role="region" tabindex="0" aria-label="{label}"><table>\n'


def _table_close(self: Any, tokens: Sequence[Token], at: int, options: Any, env: Any) -> str:
    return "</table></div>\n"


def _fence(self: Any, tokens: Sequence[Token], at: int, options: Any, env: Any) -> str:
    token = tokens[at]
    return _coloured(token.content, token.info.strip(), "")


def _code_block(self: Any, tokens: Sequence[Token], at: int, options: Any, env: Any) -> str:
    """Indented: commands to type, and now and then what a command prints."""
    return _coloured(tokens[at].content, "", "")


def _coloured(text: str, language: str, _: str) -> str:
    try:
        lexer = get_lexer_by_name(language) if language else None
    except ClassNotFound:
        lexer = None
    shown = highlight(text, lexer, HtmlFormatter(nowrap=True)) if lexer else _commands(text)
    return f'<pre tabindex="0"><code>{shown}</code></pre>\n'


def _commands(text: str) -> str:
    """Remarks behind a command stand back."""
    return re.sub(
        r"((?<= {2})#.*|^# .*)$", r'<span class="c1">\1</span>', escape(text, quote=False), flags=re.MULTILINE
    )
