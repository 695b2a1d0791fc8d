"""XML: elements put together from the inside out, and their text with the same bytes every time."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element, indent, tostring

if TYPE_CHECKING:
    from collections.abc import Iterable

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def node(tag: str, *content: Element | str | None, **attributes: object) -> Element:
    """An element with its text or children (None is left out), its attributes in the order they are given.

    An underscore in an attribute's name is a hyphen, one at its end is dropped: ``new_page``, ``type_``.
    """
    element = Element(tag, {_name(key): plain(str(value)) for key, value in attributes.items() if value is not None})
    for each in content:
        if isinstance(each, str):
            element.text = plain(each)
        elif each is not None:
            element.append(each)
    return element


def nodes(tag: str, content: Iterable[Element | None], **attributes: object) -> Element:
    """An element with these children."""
    return node(tag, *content, **attributes)


def _name(key: str) -> str:
    return key.rstrip("_").replace("_", "-")


def plain(text: str) -> str:
    """A text without the characters that XML 1.0 cannot hold; each is shown as a replacement character."""
    return _NOT_XML.sub("\N{REPLACEMENT CHARACTER}", text)


def document(root: Element, *, doctype: str = "", indented: bool = True) -> str:
    """The text of a document, in UTF-8 by its declaration."""
    if indented:
        indent(root, " ")
    head = '<?xml version="1.0" encoding="UTF-8"?>\n'
    return f"{head}{doctype}{tostring(root, encoding='unicode')}\n"
