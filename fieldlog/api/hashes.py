"""SHA-256 sums in addresses."""


class Sha256:
    regex = "[0-9a-f]{64}"

    def to_python(self, text):
        return text

    to_url = to_python
