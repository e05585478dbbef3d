"""Reading a page as a person does."""

import re
from html import unescape

from django.test import Client


def signed_in(user):
    client = Client()
    client.force_login(user)
    return client


def words(response):
    """The page's text on one line, without tags and with plain spaces."""
    main = re.search(r"<main.*</main>", response.content.decode(), re.DOTALL)
    text = re.sub(
        r"<(script|style|template)\b.*?</\1>",
        " ",
        main[0] if main else response.content.decode(),
        flags=re.DOTALL,
    )
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", text)).split())


def squeezed(response):
    """The page's text without any space, for figures whose parts stand in tags of their own."""
    return words(response).replace(" ", "")
