"""How much a picture may ask of this machine."""

MAX_FILE_BYTES = 200_000_000
MAX_PIXELS = 1_500_000_000  # 900 acres at 5 cm; about an hour of work for a small machine
# A PNG or JPEG is read from its top alone, so GDAL has to hold a broad band of it.
MAX_PLAIN_PIXELS = 250_000_000
MAX_BANDS = 16
MAX_BLOCK_BYTES = 150_000_000  # one piece of a TIFF is unpacked as a whole
MAX_TILES = 65_000
MAX_WORLD_FILE_BYTES = 1_000

OPENING_SECONDS, OPENING_MB = 15, 500
CUTTING_SECONDS, CUTTING_MB = 5_400, 700
TILE_FILE_BYTES = 2_000_000  # most of one tile on disk; a WebP of 256 × 256 is far below
USUAL_TILE_BYTES = 40_000  # to see beforehand whether the disk has room; photographs come to 10 to 40 kB
SPARE_DISK_BYTES = 300_000_000  # what the database and everything else needs on the same disk
