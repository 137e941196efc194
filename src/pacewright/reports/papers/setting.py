"""Sets one paper in a process of its own: data as JSON comes in, the PDF goes out.

The library remembers all it ever set, about 1.5 MB a card, and gives nothing back; a server would
grow without end. What it remembers goes with this process. Run by its path; imports nothing of
ours, so it starts at once.
"""

import json
import sys
from pathlib import Path

FOLDER = Path(__file__).parent
OURS = "Noto Sans"
NO_FONT = 3
"""Ends so when a font file cannot be used; its name is all that is said."""


def set_pages(data: str, files: list[str]) -> bytes:
    """The pages of a paper given as JSON; the same text and fonts give the same bytes.

    Parameters
    ----------
    files : font files used in addition, for signs that the package's font does not hold.
    """
    import typst  # noqa: PLC0415

    # Neither the fonts of this machine nor those of the library: the same everywhere, for years.
    fonts = typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(FOLDER / "fonts"), *sorted({str(Path(one).parent) for one in files})],
    )
    known = {one.path for one in fonts.fonts()} if files else set()
    for one in files:
        if one not in known:
            sys.stderr.write(Path(one).name)
            raise SystemExit(NO_FONT)
    more = sorted(one for one in fonts.families() if one != OURS) if files else []
    made: bytes = typst.compile(
        FOLDER / "paper.typ",
        root=FOLDER,
        font_paths=fonts,
        ignore_system_fonts=True,
        sys_inputs={"data": data, "families": json.dumps([OURS, *more])},
        timestamp=0,
    )
    return made


def main() -> None:
    """Read standard input, write standard output; arguments are font files."""
    sys.stdout.buffer.write(set_pages(sys.stdin.buffer.read().decode(), sys.argv[1:]))


if __name__ == "__main__":
    main()
