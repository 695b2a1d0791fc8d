"""The schema of MusicXML 4.0, from the registry package ``musicxml``, which carries the published file.

It imports two schemas by address (XLink, and the attributes of XML itself); what of them MusicXML uses is written here.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory

from lxml import etree

_HEAD = '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="{}">{}</xs:schema>'
_XLINK = "".join(
    f'<xs:attribute name="{name}" type="xs:string"/>' for name in ("href", "type", "role", "title", "show", "actuate")
)
_XML = '<xs:attribute name="lang" type="xs:language"/><xs:attribute name="space" type="xs:NCName"/>'


@lru_cache(maxsize=1)
def _schema() -> etree.XMLSchema:
    found = find_spec("musicxml")
    assert found is not None
    assert found.origin is not None
    published = Path(found.origin).parent / "generate_classes" / "musicxml_4_0.xsd"
    with TemporaryDirectory() as folder:
        beside = Path(folder)
        text = published.read_text(encoding="utf-8").replace("http://www.musicxml.org/xsd/", "")
        (beside / "musicxml.xsd").write_text(text, encoding="utf-8")
        (beside / "xlink.xsd").write_text(_HEAD.format("http://www.w3.org/1999/xlink", _XLINK), encoding="utf-8")
        (beside / "xml.xsd").write_text(_HEAD.format("http://www.w3.org/XML/1998/namespace", _XML), encoding="utf-8")
        return etree.XMLSchema(etree.parse(beside / "musicxml.xsd"))


def faults(text: str) -> list[str]:
    """What the schema finds wrong with a document."""
    schema = _schema()
    schema.validate(etree.fromstring(text.encode()))
    return [str(fault) for fault in schema.error_log]
