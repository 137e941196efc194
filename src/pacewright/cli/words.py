"""``pacewright words``."""

from pathlib import Path

from pacewright.cli.answer import answering, say


def run(works: Path, code: str, dry_run: bool, as_json: bool) -> None:
    """Write or renew the file of a language and say how far it is."""
    from pacewright.office.languages import read_texts, write_words

    with answering(as_json):
        made = write_words(works, code, dry_run)
        if made.path.is_file():
            read_texts(made.path)  # its faults are said at once, not when the server starts
        figures = {
            "file": str(made.path), "texts": made.texts, "said": made.said,
            "unsure": made.unsure, "gone": made.gone,
        }  # fmt: skip
        text = (
            f"{made.path}{' (not written)' if dry_run else ''}: {made.texts:,} texts, "
            f"{made.said:,} said, {made.unsure:,} to look at again, {made.gone:,} no longer used."
        )
        say(figures, text, as_json)
