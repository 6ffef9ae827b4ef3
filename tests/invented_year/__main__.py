"""`python -m tests.invented_year [FOLDER]`: write the example year, by default to example_year."""

import sys
from pathlib import Path

from tests.invented_year.folder import write

if __name__ == "__main__":
    count = write(Path(sys.argv[1] if len(sys.argv) > 1 else "example_year"))
    print(f"{count} files")
