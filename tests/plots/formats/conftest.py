"""Reading what a test has just written."""

import pytest

from plots.formats import UnusableFile, read


@pytest.fixture
def reading(tmp_path):
    """Read a text or bytes as a file of that name."""

    def read_content(name, content, **answers):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read(path, **answers)

    return read_content


@pytest.fixture
def refusal(reading):
    """What is said about a file that cannot be used."""

    def refused(name, content, **answers):
        with pytest.raises(UnusableFile) as caught:
            reading(name, content, **answers)
        return caught.value

    return refused
