"""The W3C MusicXML 4.0 schema, as the package ``musicxml`` on PyPI carries it."""

from __future__ import annotations

from functools import lru_cache
from importlib import resources
from pathlib import Path
from tempfile import TemporaryDirectory

from lxml import etree

_BESIDE = {
    "xml.xsd": '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" '
    'targetNamespace="http://www.w3.org/XML/1998/namespace">'
    '<xs:attribute name="lang" type="xs:language"/><xs:attribute name="space" type="xs:NCName"/></xs:schema>',
    "xlink.xsd": '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/1999/xlink">'
    + "".join(
        f'<xs:attribute name="{name}" type="xs:{kind}"/>'
        for name, kind in {
            "href": "anyURI", "type": "string", "role": "string", "title": "string", "show": "string",
            "actuate": "string",
        }.items()
    )
    + "</xs:schema>",
}  # fmt: skip
"""The two small W3C schemas it imports, with the attributes it uses; the package leaves them out."""


@lru_cache(maxsize=1)
def schema() -> etree.XMLSchema:
    """The schema, ready to validate a parsed document."""
    folder = resources.files("musicxml") / "generate_classes"
    text = (folder / "musicxml_4_0.xsd").read_text(encoding="utf-8")
    assert "Version 4.0" in text
    with TemporaryDirectory() as work:
        (Path(work) / "musicxml.xsd").write_text(text.replace("http://www.musicxml.org/xsd/", ""), encoding="utf-8")
        for name, content in _BESIDE.items():
            (Path(work) / name).write_text(content, encoding="utf-8")
        return etree.XMLSchema(etree.parse(str(Path(work) / "musicxml.xsd")))


def mistakes(text: str) -> list[str]:
    """What the schema finds wrong with a document; nothing when it is valid."""
    document = etree.fromstring(text.encode(), etree.XMLParser(load_dtd=False, no_network=True))
    found = schema()
    return [] if found.validate(document) else [str(error) for error in found.error_log]
