"""Text as XML 1.0 can hold it."""

import re
from xml.sax.saxutils import escape

# "Extensible Markup Language (XML) 1.0", fifth edition, production 2: everything else cannot even be escaped.
_IMPOSSIBLE = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def element(tag, value, indent=""):
    """'<tag>value</tag>' on a line of its own; '' for None."""
    return "" if value is None else f"{indent}<{tag}>{xml_text(value)}</{tag}>\n"


def xml_text(value):
    """A value as text between tags or within double quotes."""
    return escape(_IMPOSSIBLE.sub("", str(value)), {'"': "&quot;", "\r": "&#13;"})
