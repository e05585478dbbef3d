"""How much a boundary file may ask of this machine. A property has tens of plots, rarely hundreds."""

MAX_FILE_BYTES = 50_000_000  # a season of GPS tracks of a whole property stays below 10 MB
MAX_UNPACKED_BYTES = 100_000_000  # shapefile tables pack about ten to one; more than this is a bomb
MAX_ENTRIES = 2_000  # a KMZ may carry a few hundred pictures
MAX_VERTICES = 200_000  # 400 walks of 500 points; a map still draws this many
MAX_FEATURES = 20_000
MAX_CROSSINGS = 5_000  # repair takes about 0.1 s here and grows faster than linearly
MAX_FILE_CROSSINGS = 20_000
MAX_DEPTH = 20  # collections within collections; real files have one or two levels
MAX_XML_DEPTH = 200  # folders within folders

MAX_COLUMNS = 60
MAX_TEXT = 500  # characters of one attribute
MAX_NAME = 100  # characters of a plot's name
MAX_ATTRIBUTE_CHARACTERS = 5_000_000  # of one file; the result is held in memory and sent between processes
MAX_LEFT_OUT_ALIKE = 50  # lines a person will read before a count says more

SECONDS = 8  # a person waits, and the web request around it has to end within ten
MEMORY_MB = 500
