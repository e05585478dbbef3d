"""Pictures cut into tiles: each mark on its ground, colours as they were, and hostile files as one sentence."""

import math
import struct
import time
import zlib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rasterio.enums import ColorInterp

from plots.calc.tiles import HALF_WORLD_M, corner_m, count_of, levels, pixel_m, tiles_over, zoom_for
from plots.pictures import bounded, limits
from plots.pictures.bounded import cut_tiles, picture_facts
from plots.pictures.cutting import TILES_A_PIECE, cut
from plots.pictures.model import UnusablePicture, world_file_numbers
from plots.pictures.opening import opened
from tests.plots.ground_pictures import (
    ALBERS,
    DEGREES,
    HEIGHT,
    PLACES,
    UTM_15N,
    WIDTH,
    ground,
    mark_lon_lat,
    mosaic,
    tile_pixel,
    world_file,
    write,
)

RGB = np.stack([ground()] * 3)
INKS = [ColorInterp.cyan, ColorInterp.magenta, ColorInterp.yellow, ColorInterp.black]


def cut_here(path, into, **placing):
    """As cut_tiles, in this process: a hundred starts of Python would be most of the time."""
    into.mkdir()
    with opened(path, **placing) as placed:
        return placed.facts() | {"tile_bytes": cut(placed, into, lambda tiles: None)}


def found_marks(whole, left, top, expected):
    """Where the light nearest to each expected place is: its weighted middle, in pixels of the zoom's plane."""
    light = np.where(whole[3] > 0, whole[0].astype(float), 0)
    light[light < 120] = 0
    found = []
    for x, y in expected:
        column, row, around = int(x - left), int(y - top), 10
        part = light[max(row - around, 0) : row + around, max(column - around, 0) : column + around]
        rows, columns = np.nonzero(part)
        weight = part[rows, columns]
        found.append(
            (
                left + max(column - around, 0) + np.average(columns + 0.5, weights=weight),
                top + max(row - around, 0) + np.average(rows + 0.5, weights=weight),
            )
        )
    return found


@pytest.mark.parametrize("crs", [UTM_15N, DEGREES, ALBERS])
def test_every_mark_lies_on_its_ground_within_a_pixel(tmp_path, crs):
    facts = cut_here(write(tmp_path / "a", RGB, crs), tmp_path / "out")
    zoom = facts["max_zoom"]
    whole, left, top = mosaic(tmp_path / "out", zoom)
    expected = [tile_pixel(lon, lat, zoom) for lon, lat in mark_lon_lat(crs)]
    for (x, y), (fx, fy) in zip(expected, found_marks(whole, left, top, expected), strict=True):
        assert math.hypot(fx - x, fy - y) < 1


@pytest.mark.parametrize("driver", ["PNG", "JPEG"])
def test_a_picture_with_a_world_file_lies_where_that_says(tmp_path, driver):
    path = write(tmp_path / "a", RGB, None, driver=driver)
    facts = cut_here(path, tmp_path / "out", world_file=world_file(), crs=UTM_15N)
    zoom = facts["max_zoom"]
    whole, left, top = mosaic(tmp_path / "out", zoom)
    expected = [tile_pixel(lon, lat, zoom) for lon, lat in mark_lon_lat(UTM_15N)]
    for (x, y), (fx, fy) in zip(expected, found_marks(whole, left, top, expected), strict=True):
        assert math.hypot(fx - x, fy - y) < 1


def test_the_facts_are_those_of_the_picture(tmp_path):
    facts = picture_facts(write(tmp_path / "a", RGB))
    west, south, east, north = facts["bounds"]
    lon_lat = mark_lon_lat(UTM_15N)
    assert all(west < lon < east and south < lat < north for lon, lat in lon_lat)
    assert (facts["width"], facts["height"], facts["crs"]) == (WIDTH, HEIGHT, "EPSG:26915")
    # 25 cm in the grid is 25 cm on the ground to the scale of UTM, 0.9996 to 1.001, and that of the sphere.
    assert facts["ground_pixel_m"] == pytest.approx(0.25, rel=5e-3)
    assert facts["max_zoom"] == 19  # 156,543 m × cos 38° / 2^19 = 23.5 cm


def test_upper_levels_show_the_same_ground_down_to_one_tile(tmp_path):
    facts = cut_here(write(tmp_path / "a", RGB), tmp_path / "out")
    zooms = sorted(int(each.name) for each in (tmp_path / "out").iterdir())
    assert zooms == list(range(facts["min_zoom"], facts["max_zoom"] + 1))
    assert len(list((tmp_path / "out" / str(zooms[0])).rglob("*.webp"))) <= 4
    whole, left, top = mosaic(tmp_path / "out", zooms[-2])
    expected = [tile_pixel(lon, lat, zooms[-2]) for lon, lat in mark_lon_lat(UTM_15N)]
    for (x, y), (fx, fy) in zip(expected, found_marks(whole, left, top, expected), strict=True):
        assert math.hypot(fx - x, fy - y) < 1


def test_tiles_and_bytes_are_counted_as_they_are(tmp_path):
    facts = cut_tiles(write(tmp_path / "a", RGB), into=tmp_path / "out")
    files = [path for path in (tmp_path / "out").rglob("*") if path.is_file()]
    assert {path.suffix for path in files} == {".webp"}
    assert sum(path.stat().st_size for path in files) == facts["tile_bytes"]
    assert len(files) <= facts["tiles"]
    assert {path.stat().st_mode & 0o777 for path in files} == {0o600}


def colours_at(tmp_path, bands, place=(WIDTH // 4, HEIGHT // 2), **options):
    """Red, green, blue and alpha of the tiles over a pixel of the picture."""
    facts = cut_here(write(tmp_path / "a", bands, **options), tmp_path / "out")
    whole, left, top = mosaic(tmp_path / "out", facts["max_zoom"])
    west, north, side = PLACES[UTM_15N]
    x, y = _pixel_of(west + (place[0] + 0.5) * side, north - (place[1] + 0.5) * side, facts["max_zoom"])
    return whole[:, int(y - top), int(x - left)].tolist(), facts


def _pixel_of(east, north, zoom):
    from pyproj import Transformer

    return tile_pixel(
        *Transformer.from_crs(UTM_15N, "EPSG:4326", always_xy=True).transform(east, north), zoom
    )


def flat(*values, dtype="uint8"):
    return np.stack([np.full((HEIGHT, WIDTH), value, dtype) for value in values])


def close(found, expected, by=6):
    return max(abs(a - b) for a, b in zip(found, expected, strict=True)) <= by


def test_colours_stay_as_they_are(tmp_path):
    assert close(colours_at(tmp_path, flat(200, 100, 30))[0], (200, 100, 30, 255))


def test_grey_becomes_grey(tmp_path):
    assert close(colours_at(tmp_path, flat(90))[0], (90, 90, 90, 255))


def test_near_infrared_is_left_out_and_said(tmp_path):
    meant = [ColorInterp.red, ColorInterp.green, ColorInterp.blue, ColorInterp.undefined]
    found, facts = colours_at(tmp_path, flat(200, 100, 30, 250), colorinterp=meant)
    assert close(found, (200, 100, 30, 255))
    assert any("near infrared" in note for note in facts["notes"])


def test_bands_in_another_order_are_read_by_what_they_are(tmp_path):
    meant = [ColorInterp.blue, ColorInterp.green, ColorInterp.red]
    found, _ = colours_at(tmp_path, flat(30, 100, 200), colorinterp=meant)
    assert close(found, (200, 100, 30, 255))


def test_alpha_lets_through(tmp_path):
    bands = flat(200, 100, 30, 255)
    bands[3, :, : WIDTH // 2] = 0
    meant = [ColorInterp.red, ColorInterp.green, ColorInterp.blue, ColorInterp.alpha]
    found, _ = colours_at(tmp_path, bands, colorinterp=meant)
    assert found[3] == 0
    (tmp_path / "b").mkdir()
    assert close(
        colours_at(tmp_path / "b", bands, (WIDTH * 3 // 4, HEIGHT // 2), colorinterp=meant)[0],
        (200, 100, 30, 255),
    )


def test_no_data_lets_through_where_all_bands_say_so(tmp_path):
    bands = flat(200, 0, 30)
    bands[:, :, : WIDTH // 2] = 0
    assert colours_at(tmp_path, bands, nodata=0)[0][3] == 0
    (tmp_path / "b").mkdir()
    found, _ = colours_at(tmp_path / "b", bands, (WIDTH * 3 // 4, HEIGHT // 2), nodata=0)
    assert close(found, (200, 0, 30, 255))


def test_a_mask_inside_the_file_lets_through(tmp_path):
    mask = np.full((HEIGHT, WIDTH), 255, np.uint8)
    mask[:, : WIDTH // 2] = 0
    assert colours_at(tmp_path, flat(200, 100, 30), mask=mask)[0][3] == 0


def test_a_palette_gives_its_colours(tmp_path):
    colormap = {value: (value, 255 - value, 7, 255) for value in range(256)}
    found, _ = colours_at(tmp_path, flat(60), colormap=colormap, photometric="palette")
    assert close(found, (60, 195, 7, 255))


@pytest.mark.parametrize("dtype", ["uint16", "int16", "float32"])
def test_wide_values_are_stretched_from_dark_to_light_and_said(tmp_path, dtype):
    bands = np.zeros((3, HEIGHT, WIDTH), dtype)
    bands[:] = np.linspace(1000, 3000, WIDTH).astype(dtype)
    found, facts = colours_at(tmp_path, bands, (WIDTH // 2, HEIGHT // 2))
    assert close(found, (127, 127, 127, 255), by=12)
    assert any("stretched" in note for note in facts["notes"])


def test_what_is_no_number_is_let_through(tmp_path):
    bands = np.full((1, HEIGHT, WIDTH), 0.5, "float32")
    bands[:, :, : WIDTH // 2] = np.nan
    bands[:, :, WIDTH // 2 + 9 :: 2] = 0.6
    assert colours_at(tmp_path, bands)[0][3] == 0


def test_beside_the_picture_the_tiles_let_through(tmp_path):
    facts = cut_here(write(tmp_path / "a", RGB), tmp_path / "out")
    whole, _, _ = mosaic(tmp_path / "out", facts["max_zoom"])
    assert {0, 255} <= set(np.unique(whole[3]).tolist())
    covered = (whole[3] > 127).sum() * (pixel_m(facts["max_zoom"]) * math.cos(math.radians(38))) ** 2
    assert covered == pytest.approx(WIDTH * HEIGHT * 0.25**2, rel=0.01)


def png(width, height, *, rows=1, interlace=0):
    """A PNG that claims a size and holds a few rows."""

    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, interlace)
    packed = zlib.compress((b"\0" + bytes(3 * width)) * rows)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


def tiff(*, width, height):
    """The head of a TIFF that claims a size, in one tile of eight bytes."""
    tags = [
        *((256, 4, 1, width), (257, 4, 1, height), (258, 3, 1, 8), (259, 3, 1, 8), (262, 3, 1, 1)),
        *((277, 3, 1, 1), (322, 4, 1, width), (323, 4, 1, height), (324, 4, 1, 8), (325, 4, 1, 8)),
    ]
    entries = b"".join(struct.pack("<HHII", *tag) for tag in tags)
    return b"II*\0" + struct.pack("<I", 16) + bytes(8) + struct.pack("<H", len(tags)) + entries + bytes(4)


VRT = b"""<VRTDataset rasterXSize="20" rasterYSize="20"><VRTRasterBand dataType="Byte" band="1"><SimpleSource>
<SourceFilename>/etc/passwd</SourceFilename></SimpleSource></VRTRasterBand></VRTDataset>"""


def _written(tmp_path, **options):
    return write(tmp_path / "made", RGB, **options).read_bytes()


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda tmp: b"", "The file is empty."),
        (lambda tmp: VRT, "neither GeoTIFF nor PNG nor JPEG"),
        (lambda tmp: b"PK\x03\x04" + bytes(40), "is a zip archive; unpack it"),
        (lambda tmp: b"II*\0" + bytes(60), "damaged or cut short"),
        (lambda tmp: b"II*\0" + VRT, "damaged or cut short"),
        (lambda tmp: tiff(width=1_000_000, height=1_000_000), "1,000,000 × 1,000,000 = 1,000,000 million pixels"),
        (lambda tmp: tiff(width=32_000, height=32_000), "stored in pieces of 1,024 MB"),
        (lambda tmp: png(1_000_000, 1_000_000), "1,000,000 million pixels; at most 250 million"),
        (lambda tmp: png(16_000, 16_000), "256 million pixels; at most 250 million"),
        (lambda tmp: _written(tmp)[:-200_000], "damaged or cut short"),
        (lambda tmp: _written(tmp, compress="deflate")[:-800], "damaged or cut short"),
        (lambda tmp: write(tmp / "c", flat(1, 2, 3, 4), colorinterp=INKS).read_bytes(), "printing inks"),
        (lambda tmp: write(tmp / "c", flat(1, dtype="complex64")).read_bytes(), "whole or decimal numbers"),
        (lambda tmp: write(tmp / "c", flat(*range(17))).read_bytes(), "17 bands; at most 16"),
        (lambda tmp: write(tmp / "c", RGB, DEGREES, place=(-179, 89.9, 1e-4)).read_bytes(), "beyond 85° of latitude"),
        (lambda tmp: write(tmp / "c", RGB, DEGREES, place=(-179, 60, 0.5)).read_bytes(), "beyond 85° of latitude"),
        (lambda tmp: write(tmp / "c", RGB, DEGREES, place=(-170, 60, 0.3)).read_bytes(), "spans half the earth"),
    ],
)  # fmt: skip
def test_a_hostile_or_useless_file_is_one_sentence(tmp_path, make, sentence):
    (tmp_path / "a").write_bytes(make(tmp_path))
    began = time.monotonic()
    with pytest.raises(UnusablePicture) as refused:
        picture_facts(tmp_path / "a")
    assert sentence in refused.value.sentence
    assert str(tmp_path) not in refused.value.sentence
    assert time.monotonic() - began < limits.OPENING_SECONDS


def test_a_file_that_breaks_off_inside_shows_nothing(tmp_path):
    """The ends can be read, the middle cannot: found while it is cut."""
    content = bytearray(_written(tmp_path, compress="deflate", blockysize=16))
    middle = len(content) // 2
    content[middle : middle + 3000] = bytes(3000)
    (tmp_path / "a").write_bytes(content)
    with pytest.raises(UnusablePicture, match="damaged or cut short"):
        cut_tiles(tmp_path / "a", into=tmp_path / "out")


def test_a_jpeg_that_was_cut_off_does_not_end_in_grey(tmp_path):
    content = write(tmp_path / "made", RGB, None, driver="JPEG").read_bytes()
    (tmp_path / "a").write_bytes(content[: len(content) * 2 // 3])
    with pytest.raises(UnusablePicture, match="damaged or cut short"):
        cut_tiles(tmp_path / "a", into=tmp_path / "out", world_file=world_file(), crs=UTM_15N)


def test_no_file_beside_the_picture_is_read(tmp_path):
    """Neither a world file nor overviews nor metadata lying there by another's hand."""
    path = write(tmp_path / "a", RGB, None, driver="PNG")
    for name in ("a.wld", "a.pgw", "awx"):
        (tmp_path / name).write_text(world_file())
    (tmp_path / "a.aux.xml").write_text(
        "<PAMDataset><SRS>EPSG:26915</SRS><GeoTransform>1,1,0,1,0,-1</GeoTransform></PAMDataset>"
    )
    with pytest.raises(UnusablePicture) as refused:
        picture_facts(path)
    assert refused.value.needs == "world"


def test_what_is_missing_is_asked(tmp_path):
    path = write(tmp_path / "a", RGB, None, driver="PNG")
    with pytest.raises(UnusablePicture) as refused:
        picture_facts(path, world_file=world_file())
    assert refused.value.needs == "crs"
    west, north, side = PLACES[UTM_15N]
    assert refused.value.extent == pytest.approx([west, north - HEIGHT * side, west + WIDTH * side, north])
    with pytest.raises(UnusablePicture, match="does not fit EPSG:4326") as refused:
        picture_facts(path, world_file=world_file(), crs="EPSG:4326")
    assert refused.value.needs == "crs"


def test_it_ends_when_it_takes_too_long(tmp_path):
    path = write(tmp_path / "a", RGB)
    with pytest.raises(UnusablePicture, match="took longer than 0 seconds"):
        cut_tiles(path, into=tmp_path / "out", seconds=0.01)


def test_it_ends_when_it_takes_too_much_memory(tmp_path):
    with pytest.raises(UnusablePicture):
        picture_facts(write(tmp_path / "a", RGB), memory_mb=20)


def test_work_that_was_cut_short_goes_on_and_ends_the_same(tmp_path):
    path = write(tmp_path / "a", np.stack([ground(2400, 1500)] * 3))

    def halt(tiles):
        if tiles > 0:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        cut_tiles(path, into=tmp_path / "out", look=halt)
    done = [line.split() for line in (tmp_path / "out" / "done.txt").read_text().split("\n")[:-1]]
    # the piece that was being cut when it stopped is cut again, whatever of it is there
    kept = {
        path: path.stat().st_mtime_ns
        for zoom, row, first in done
        for path in (tmp_path / "out" / zoom).glob(f"*/{row}.webp")
        if int(first) <= int(path.parent.name) < int(first) + TILES_A_PIECE
    }
    assert kept
    again = cut_tiles(path, into=tmp_path / "out")
    whole = cut_tiles(path, into=tmp_path / "afresh")
    assert again == whole
    resumed, afresh = (
        {path.relative_to(tmp_path / name): path.read_bytes() for path in (tmp_path / name).rglob("*.webp")}
        for name in ("out", "afresh")
    )
    assert resumed == afresh
    assert (
        kept.items() <= {path: path.stat().st_mtime_ns for path in (tmp_path / "out").rglob("*.webp")}.items()
    )


def test_no_secret_reaches_the_process(tmp_path, monkeypatch, caplog):
    monkeypatch.setattr("plots.processes._environment", lambda folder: {"PYTHONHOME": "/nowhere"})
    with pytest.raises(UnusablePicture, match="damaged or made in an unusual way"):
        picture_facts(write(tmp_path / "a", RGB))
    assert "Reading a picture failed" in caplog.text


def test_rasterio_stays_out_of_this_process():
    import subprocess
    import sys

    code = (
        "import django, os, sys; os.environ['DJANGO_SETTINGS_MODULE'] = 'config.settings'; django.setup(); "
        "import config.urls, plots.tasks; print('rasterio' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
    assert bounded.logger.name == "plots.pictures.bounded"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "0 numbers; six"),
        ("1 2 3", "3 numbers; six"),
        ("a\nb\nc\nd\ne\nf", "has text in it"),
        ("0 0 0 0 1 1", "gives a pixel no size"),
        ("inf 0 0 1 1 1", "gives a pixel no size"),
        ("nan 0 0 1 1 1", "gives a pixel no size"),
    ],
)
def test_a_world_file_that_places_nothing_is_said(text, sentence):
    with pytest.raises(ValueError, match=sentence):
        world_file_numbers(text)


def test_a_world_file_speaks_of_the_middle_of_the_first_pixel():
    assert world_file_numbers("2\n0\n0\n-2\n101\n199\n") == (2, 0, 100, 0, -2, 200)
    assert world_file_numbers("0,5\n0\n0\n-0,5\n0\n0") == (0.5, 0, -0.25, 0, -0.5, 0.25)


@given(lon=st.floats(-179.9, 179.9), lat=st.floats(-85, 85), zoom=st.integers(0, 22))
def test_a_place_lies_on_the_tile_that_the_slippy_formula_names(lon, lat, zoom):
    x, y = tile_pixel(lon, lat, zoom)
    metres = HALF_WORLD_M / 180 * lon, math.asinh(math.tan(math.radians(lat))) * HALF_WORLD_M / math.pi
    left, top, right, bottom = tiles_over(
        (metres[0] - 1e-6, metres[1] - 1e-6, metres[0] + 1e-6, metres[1] + 1e-6), zoom
    )
    assert left <= min(x / 256, 2**zoom - 1) + 1e-6
    assert right >= min(math.floor(x / 256 - 1e-6), 2**zoom - 1)
    assert top <= y / 256 + 1e-6
    assert bottom >= math.floor(y / 256 - 1e-6)
    west, north = corner_m(left, top, zoom)
    assert west <= metres[0] + 1e-6
    assert north >= metres[1] - 1e-6


def test_levels_end_where_one_tile_holds_the_picture():
    found = levels((0, 0, 1000, 600), 19)
    assert [zoom for zoom, _ in found] == [19, 18, 17, 16, 15]
    assert count_of(found[-1][1]) <= 4


@pytest.mark.parametrize(
    ("pixel", "latitude", "zoom"), [(0.3, 0, 19), (0.3, 60, 18), (1e-6, 38, 22), (1e9, 0, 0)]
)
def test_the_nearest_level_is_that_of_the_pixels(pixel, latitude, zoom):
    assert zoom_for(pixel, latitude) == zoom


@pytest.mark.parametrize("pixel", [0, -1, math.inf, math.nan])
def test_a_pixel_without_size_has_no_level(pixel):
    with pytest.raises(ValueError, match="above 0"):
        zoom_for(pixel, 38)


def test_a_picture_of_too_many_tiles_is_cut_coarser_and_says_so(tmp_path, monkeypatch):
    path = write(tmp_path / "a", RGB)
    monkeypatch.setattr("plots.pictures.opening.MAX_TILES", 4)
    with opened(path) as placed:
        facts = placed.facts()
    assert facts["tiles"] <= 4
    assert facts["max_zoom"] < 19
    assert any("coarser" in note for note in facts["notes"])
