"""Few words of SVG: escaped text, short numbers, one element."""

from __future__ import annotations

from html import escape


def number(value: float) -> str:
    """At most two decimals, none where none are needed."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def element(name: str, content: str = "", /, **attributes: str | float) -> str:
    """``class_`` becomes ``class``, other underscores hyphens; text content must be escaped by the caller."""
    parts = [name]
    for key, value in attributes.items():
        label = key.rstrip("_").replace("_", "-")
        parts.append(
            f'{label}="{number(value) if isinstance(value, (int, float)) else escape(value, quote=True)}"'
        )
    return f"<{' '.join(parts)}>{content}</{name}>" if content else f"<{' '.join(parts)}/>"


def text(x: float, y: float, content: str, class_: str = "tick") -> str:
    return element("text", escape(content), x=x, y=y, class_=class_)


def drawing(width: float, height: float, title: str, description: str, content: str, class_: str) -> str:
    """A whole drawing that a screen reader announces by its title and description."""
    return (
        f'<svg class="{escape(class_, quote=True)}" viewBox="0 0 {number(width)} {number(height)}" '
        'role="img" '
        f'aria-label="{escape(f"{title}. {description}", quote=True)}">{content}</svg>'
    )
