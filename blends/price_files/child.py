"""The process in which a spreadsheet is read: `python -m blends.price_files.child FOLDER`.

It takes FOLDER/list.xlsx and leaves FOLDER/answer.json, complete or not at all.
"""

import json
import os
import sys
from pathlib import Path

from plots.processes import end_with_parent, limit_this

_DISK_BYTES = 60_000_000


def main(folder):
    request = json.loads((folder / "request.json").read_text(encoding="utf-8"))
    limit_this(request["seconds"], request["memory_mb"], _DISK_BYTES)
    end_with_parent()

    from blends.price_files.xlsx import read_xlsx

    try:
        rows, sheet = read_xlsx(folder / "list.xlsx")
        answer = {"rows": rows, "sheet": sheet}
    except ValueError as refusal:
        answer = {"sentence": str(refusal)}
    partial = folder / "answer.partial"
    partial.write_text(json.dumps(answer), encoding="utf-8")
    os.replace(partial, folder / "answer.json")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
