"""Documents for paper: every word arrives, pages are numbered, and the same content makes the same bytes."""

import getpass
import io
import socket

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from config.paper import LEADING, Column, Paper, printable, width_of, wrapped

COLUMNS = [Column("Seed", 3), Column("Note", 2), Column("lb", 1, is_number=True)]


def pages_of(paper):
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(paper.bytes())).pages]


def written(rows, foot="Foot", **how):
    paper = Paper("Order 7", author="Tally Hollow")
    paper.begin(foot=foot)
    paper.table(COLUMNS, rows, **how)
    return paper


def test_rows_go_on_over_pages_below_the_same_head():
    pages = pages_of(written([(f"Seed {n}", "none", f"{n}.5") for n in range(120)]))
    assert len(pages) == 3
    for number, page in enumerate(pages, start=1):
        assert "Seed Note lb" in page
        assert f"Foot Page {number} of 3" in page
    assert [f"Seed {n} none {n}.5" in " ".join(pages) for n in range(120)] == [True] * 120


def test_what_follows_bold_words_is_not_bold():
    paper = Paper("Type")
    paper.begin(foot="foot")
    for words, is_bold in (("bold", True), ("plain", False), ("small", False), ("again", True)):
        paper.paragraph(words, bold=is_bold, size=8 if words == "small" else 9)
    modes, mode = {}, 0
    [page] = PdfReader(io.BytesIO(paper.bytes())).pages
    for operands, operator in page.get_contents().operations:
        if operator == b"Tr":
            mode = operands[0]
        elif operator == b"Tj":
            modes[str(operands[0])] = mode
    assert modes == {"bold": 2, "plain": 0, "small": 0, "again": 2, "foot": 0, "Page 1 of 1": 0}


def test_row_longer_than_a_page_is_cut_and_loses_nothing():
    words = [f"word{n}" for n in range(900)]
    pages = pages_of(written([("Oats", " ".join(words), "3"), ("Rye", "after it", "4")]))
    assert len(pages) > 2
    found = " ".join(pages).split()
    assert [word for word in found if word.startswith("word")] == words
    assert "Rye after it 4" in pages[-1]


def test_documents_in_one_file_count_their_own_pages():
    paper = Paper("Two")
    for name, rows in (("First", 70), ("Second", 2)):
        paper.begin(foot=name, bookmark=name)
        paper.table(COLUMNS, [("Oats", "none", "1")] * rows)
    reader = PdfReader(io.BytesIO(paper.bytes()))
    pages = [" ".join(page.extract_text().split()) for page in reader.pages]
    for page, foot in zip(pages, ["First 1 of 2", "First 2 of 2", "Second 1 of 1"], strict=True):
        name, number = foot.split(" ", 1)
        assert name in page
        assert f"Page {number}" in page
    assert [entry.title for entry in reader.outline] == ["First", "Second"]


def test_same_content_makes_the_same_bytes_and_tells_nothing_of_its_maker():
    first, second = (written([("Oats", "Rosé", "1")]).bytes() for _ in range(2))
    assert first == second
    told = str(PdfReader(io.BytesIO(first)).metadata)
    assert socket.gethostname() not in told
    assert f"'{getpass.getuser()}'" not in told
    assert "Tally Hollow" in told


def test_font_is_embedded():
    page = PdfReader(io.BytesIO(written([("Oats ≥ 3", "none", "1")]).bytes())).pages[0]
    for font in page["/Resources"]["/Font"].values():
        described = font.get_object().get("/FontDescriptor")
        if described is not None:
            assert "/FontFile2" in described.get_object()


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("Żółć, Ærø, Чернозём, Ωμέγα", "Żółć, Ærø, Чернозём, Ωμέγα"),
        ("e\u0301", "é"),
        ("50 ≥ 3 → ± ½ √", "50 ≥ 3 → ± ½ √"),
        ("☐ open ✓", "□ open √"),
        ("中 🌱", "[U+4E2D] [U+1F331]"),
        ("tab\there\x00", "tab here "),  # the font has a sign for nothing
        ("soft\u00adhyphen", "softhyphen"),
    ],
)
def test_what_the_font_lacks_does_not_vanish(typed, shown):
    assert printable(typed) == shown


@given(
    st.text(st.characters(exclude_categories=("Cs", "Cf", "Cc", "Zl", "Zp")), max_size=200),
    st.integers(20, 300),
)
def test_wrapped_lines_fit_and_keep_every_mark(text, width):
    lines = wrapped(text, 9.0, float(width))
    assert all(width_of(line, 9.0) <= width or len(line) == 1 for line in lines)
    assert "".join("".join(lines).split()) == "".join(printable(text).split())


def test_heading_stays_with_what_follows():
    paper = Paper("Order")
    paper.begin()
    paper.y = paper.bottom - 20 * LEADING
    paper.heading("Lines")
    assert len(paper._pages) == 2


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_size_of_the_page(size):
    paper = Paper("Order", size=size)
    paper.begin()
    box = PdfReader(io.BytesIO(paper.bytes())).pages[0].mediabox
    # US Letter is 8.5 × 11 in (ANSI/ASME Y14.1, from memory), A4 210 × 297 mm (ISO 216, from memory)
    expected = {"letter": (612, 792), "a4": (595.28, 841.89)}[size]
    assert (float(box.width), float(box.height)) == pytest.approx(expected, abs=0.01)
