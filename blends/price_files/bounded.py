"""A stranger's file as a table, within bounds of size, time and memory."""

import json
import logging
import tempfile
from pathlib import Path

from blends.calc.price_tables import MOST_BYTES, bounded, table_of, text_of
from plots.processes import TookTooLong, TookTooMuchMemory, last_words, run_bounded

SECONDS, MEMORY_MB = 20, 500
_DAMAGED = (
    "The spreadsheet cannot be read: it is damaged or made in an unusual way. Save it again, or as CSV."
)

logger = logging.getLogger(__name__)


def table_of_file(content):
    """Rows of cells of a CSV, a text or an .xlsx file.

    Parameters
    ----------
    content : bytes

    Returns
    -------
    (list of list of str, str)
        The table, and the name of the sheet that it stands on; "" where the file has no sheets.

    Raises
    ------
    ValueError
        With a sentence that says what is wrong with the file.
    """
    if len(content) > MOST_BYTES:
        raise ValueError(
            f"The file is larger than {MOST_BYTES / 1e6:g} MB, which is the most that is accepted."
        )
    if not content.strip():
        raise ValueError("The file is empty; accepted is a table with a row of headings.")
    if not content.startswith(b"PK"):
        return table_of(text_of(content)), ""
    answer = _spreadsheet(content)
    return bounded(answer["rows"]), answer["sheet"]


def _spreadsheet(content):
    with tempfile.TemporaryDirectory(prefix="price-list-") as folder:
        folder = Path(folder)
        (folder / "list.xlsx").write_bytes(content)
        try:
            run_bounded("blends.price_files.child", folder, {}, seconds=SECONDS, memory_mb=MEMORY_MB)
        except TookTooLong:
            raise ValueError(
                f"Reading the spreadsheet took longer than {SECONDS} seconds; save it as CSV."
            ) from None
        except TookTooMuchMemory:
            raise ValueError(
                f"Reading the spreadsheet took more than {MEMORY_MB} MB of memory; save it as CSV."
            ) from None
        answer = folder / "answer.json"
        if not answer.exists():
            logger.warning("Reading a price list failed: %s", last_words(folder))
            raise ValueError(_DAMAGED)
        found = json.loads(answer.read_text(encoding="utf-8"))
    if "sentence" in found:
        raise ValueError(found["sentence"])
    return found
