"""XML of strangers as small trees of the elements that matter, in one pass and bounded memory.

Names are compared without their prefix: files without a namespace, with an old one, or with a prefix that
was never declared are common and mean the same.
"""

import codecs
import io
import re
from dataclasses import dataclass, field
from xml.sax import SAXParseException
from xml.sax.handler import ContentHandler
from xml.sax.xmlreader import InputSource

from defusedxml.common import DefusedXmlException
from defusedxml.expatreader import create_parser

from plots.formats.assemble import too_many_vertices
from plots.formats.attributes import quoted
from plots.formats.limits import MAX_VERTICES, MAX_XML_DEPTH
from plots.formats.model import UnusableFile

_CHUNK = 1 << 22  # bytes; expat begins a long token again with every chunk
_MAX_ELEMENTS = 2 * MAX_VERTICES  # kept in memory, about 300 bytes each
_DECLARED = re.compile(rb"""<\?xml[^>]*encoding\s*=\s*["']([\w.-]+)["']""")
_HTML = re.compile(rb"<(!doctype\s+)?html[\s>]", re.IGNORECASE)
_UTF16_MARKS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


@dataclass(slots=True)
class Node:
    """An element that was kept: its name without prefix, attributes, text and kept children."""

    tag: str
    attributes: dict
    text: str = ""
    children: list = field(default_factory=list)

    def all(self, *tags):
        return [child for child in self.children if child.tag in tags]

    def value(self, tag):
        """The text of the first child of that name, '' when there is none."""
        return next((child.text.strip() for child in self.children if child.tag == tag), "")


@dataclass(frozen=True)
class Dialect:
    """What of one XML format matters.

    `features` are built as trees, wherever they stand; inside them only `kept` elements are. `points` are the
    elements that are one vertex each.
    """

    roots: frozenset
    features: frozenset
    kept: frozenset
    points: frozenset = frozenset()


def parse(data, dialects):
    """The dialect of an XML text and its features, in order.

    Parameters
    ----------
    data : bytes
    dialects : list of Dialect

    Returns
    -------
    dialect : Dialect
    features : list of Node

    Raises
    ------
    UnusableFile
        HTML, another root, a document type declaration, damage, or too much of anything.
    """
    if _HTML.search(data[:1000]):
        raise UnusableFile("The file is a web page (HTML), not a boundary file; download the file itself.")
    if not data.startswith(_UTF16_MARKS):
        data = data.lstrip()
    handler = _Handler(dialects)
    parser = create_parser(forbid_dtd=True, forbid_entities=True, forbid_external=True, bufsize=_CHUNK)
    parser.setContentHandler(handler)
    source = InputSource()
    source.setByteStream(io.BytesIO(data))
    source.setEncoding(_mended_encoding(data))
    try:
        parser.parse(source)
    except UnusableFile:
        raise
    except DefusedXmlException:
        raise UnusableFile(
            "The file declares a document type or entities, which can make a reader fetch or expand other things; "
            "it is not read. Save it again without them."
        ) from None
    except SAXParseException as error:
        raise UnusableFile(
            f"The XML is damaged or stops in the middle: {error.getMessage()} at line {error.getLineNumber()}."
        ) from None
    except (LookupError, ValueError):
        raise UnusableFile("The XML names a text encoding that is not known; save it as UTF-8.") from None
    return handler.dialect, handler.features


def _mended_encoding(data):
    """'windows-1252' for a file that claims to be UTF-8 and is not; None to believe what it says."""
    declared = _DECLARED.match(data[:200])
    if data.startswith(_UTF16_MARKS) or (declared and declared[1].lower() not in (b"utf-8", b"utf8")):
        return None
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "windows-1252"
    return None


class _Handler(ContentHandler):
    def __init__(self, dialects):
        super().__init__()
        self._dialects = dialects
        self.dialect = None
        self.features = []
        self._depth = self._elements = self._points = 0
        self._open = []  # nodes being built, outermost first
        self._ignored = 0  # depth below an element that is not kept
        self._texts = []

    def startElement(self, name, attributes):  # noqa: N802 - the name that SAX calls
        tag = name.rpartition(":")[2]
        self._depth += 1
        if self._depth > MAX_XML_DEPTH:
            raise UnusableFile(
                f"The XML is nested more than {MAX_XML_DEPTH} levels deep; real boundary files are not."
            )
        if self.dialect is None:
            self._choose(tag)
        if self._ignored or (self._open and tag not in self.dialect.kept):
            self._ignored += 1
        elif self._open or tag in self.dialect.features:
            self._count(tag)
            node = Node(tag, dict(attributes.items()))
            if self._open:
                self._open[-1].children.append(node)
            self._open.append(node)
            self._texts.append([])

    def endElement(self, name):  # noqa: N802
        self._depth -= 1
        if self._ignored:
            self._ignored -= 1
        elif self._open:
            node = self._open.pop()
            node.text = "".join(self._texts.pop())
            if not self._open:
                self.features.append(node)

    def characters(self, content):
        if self._open and not self._ignored:
            self._texts[-1].append(content)

    def _choose(self, root):
        self.dialect = next((dialect for dialect in self._dialects if root in dialect.roots), None)
        if self.dialect is None:
            raise UnusableFile(f"The file is XML of another kind, {quoted(root)}; GPX and KML are read.")

    def _count(self, tag):
        self._elements += 1
        self._points += tag in self.dialect.points
        if self._points > MAX_VERTICES:
            raise too_many_vertices()
        if self._elements > _MAX_ELEMENTS:
            raise UnusableFile(
                f"The file holds more than {_MAX_ELEMENTS:,} elements; at most that many can be read."
            )
