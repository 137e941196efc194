"""Sets one paper in a process of its own: data as JSON comes in, the PDF goes out.

The library remembers all it ever set, about 1.5 MB a card, and gives nothing back; a server would
grow without end. What it remembers goes with this process. Run by its path; imports nothing of
ours, so it starts at once.
"""

import sys
from pathlib import Path

FOLDER = Path(__file__).parent


def set_pages(data: str) -> bytes:
    """The pages of a paper given as JSON; the same text gives the same bytes."""
    import typst  # noqa: PLC0415

    # Neither the fonts of this machine nor those of the library: the same everywhere, for years.
    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[FOLDER / "fonts"]
    )
    made: bytes = typst.compile(
        FOLDER / "paper.typ",
        root=FOLDER,
        font_paths=fonts,
        ignore_system_fonts=True,
        sys_inputs={"data": data},
        timestamp=0,
    )
    return made


def main() -> None:
    """Read standard input, write standard output."""
    sys.stdout.buffer.write(set_pages(sys.stdin.buffer.read().decode()))


if __name__ == "__main__":
    main()
