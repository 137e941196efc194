"""Printed papers: every sort there is, made from an open desk or from a works folder."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from pacewright.base.progress import Progress, silent
from pacewright.office.errors import CallError, NoPlanError

if TYPE_CHECKING:
    from pacewright.office.desk import Desk
    from pacewright.reports.papers.catalogue import Sort
    from pacewright.reports.papers.ground import Ground
    from pacewright.reports.papers.press import Paper
    from pacewright.reports.papers.typefaces import Typefaces
    from pacewright.reports.words.language import Language


class PaperFile(NamedTuple):
    """A paper as a file.

    Parameters
    ----------
    name : of the file. ``made`` : the PDF.
    lacking : a sentence for each text with signs that no font holds, with what to do.
    """

    name: str
    made: bytes
    lacking: tuple[str, ...]


def paper_of_desk(
    desk: "Desk", key: str, asked: Mapping[str, str], language: "Language | None" = None
) -> PaperFile:
    """A paper by the record and the plan of an open works.

    Parameters
    ----------
    key, asked : sort of paper, and what was asked by name.
    language : of the paper; None: English.

    Raises
    ------
    CallError : there is no such sort or subject, what was asked is wrong, or nothing to print.
    """
    from pacewright.office.sheets.today_paper import day_paper, plan_made
    from pacewright.reports.papers.ground import Ground

    sort = _sort(key)
    days = sort.days(asked)
    # The day's own copy of what stands: setting pages takes long and keeps no booking waiting.
    day = day_paper(desk)
    plan = day.plan
    if plan is None and sort.from_plan:
        try:
            plan = desk.apart(plan_made)
        except NoPlanError as error:
            raise CallError(str(error)) from error
    told = _told(day.place)
    ground = Ground(
        day.works, day.standing, day.today.now, plan, days, day_made=day.today, told=told
    )
    if sort.of_flow:
        from pacewright.office.flow_paper import flow_of_desk

        ground = replace(ground, flow=flow_of_desk(desk, asked))
    return _printed(sort.make(ground, asked), desk.path, language)


def _told(place: int) -> str:
    return f"record up to event {place:,}" if place else ""


def paper_of_folder(
    path: Path,
    key: str,
    asked: Mapping[str, str],
    found: tuple[str, datetime | None, bool] = ("", None, False),
    progress: Progress = silent,
) -> PaperFile:
    """A paper of a works folder or workbook.

    Parameters
    ----------
    key, asked : sort of paper, and what was asked by name.
    found : address of the record (empty: that of the works), works time (None: the last the
        record tells of), and whether the plan is made for the waits; papers of the plan always
        make it.

    Raises
    ------
    WorksFaultyError : with every fault found in the files.
    CallError : as ``paper_of_desk``.
    NoPlanError : no plan can be made and the paper needs one.
    """
    sort = _sort(key)
    database, at, with_plan = found
    progress("reading the works and its record", 0.0)
    ground = _ground(path, database, at, sort)
    if with_plan or sort.from_plan:
        from pacewright.office.planning import make_plan

        ground = replace(ground, plan=make_plan(ground.works, (), progress))
    ground = replace(ground, days=sort.days(asked))
    if sort.of_flow:
        from pacewright.office.flow_paper import with_flow

        ground = with_flow(path, database, ground, asked)
    progress("setting the pages", 0.0)
    return _printed(sort.make(ground, asked), path)


def sorts() -> tuple["Sort", ...]:
    """Every sort of paper."""
    from pacewright.reports.papers.catalogue import SORTS

    return tuple(SORTS.values())


def has_sort(key: str) -> bool:
    """Whether there is such a sort of paper."""
    return any(one.key == key for one in sorts())


def asked_from_words(words: Sequence[str]) -> dict[str, str]:
    """Picks written ``name=value``.

    Raises
    ------
    CallError : one is not written so, or a name stands twice.

    Examples
    --------
    >>> asked_from_words(["vehicle=1043", "days=3"])
    {'vehicle': '1043', 'days': '3'}
    """
    asked: dict[str, str] = {}
    for word in words:
        name, mark, value = word.partition("=")
        if not mark or not name or name in asked:
            found = "given twice" if name in asked else "found"
            raise CallError(
                f"paper: {word!r} {found}. What a paper is about is written once as NAME=VALUE, "
                "as vehicle=1043. Write it so."
            )
        asked[name] = value
    return asked


def write_paper(path: Path, made: bytes) -> None:
    """Write a PDF, whole or not at all; the same paper may be there already.

    Raises
    ------
    CallError : another file stands there, or it cannot be written.
    """
    from pacewright.files.whole import write_whole_file

    try:
        if path.is_file() and path.read_bytes() == made:
            return
        write_whole_file(path, made)
    except OSError as error:
        raise CallError(f"{path}: {error} Nothing was written; choose another file.") from error


def _ground(path: Path, database: str, at: datetime | None, sort: "Sort") -> "Ground":
    from pacewright.control.as_recorded import as_recorded
    from pacewright.office.as_it_stands import as_it_stands
    from pacewright.office.folder import open_works
    from pacewright.office.record import has_record, open_record
    from pacewright.reports.papers.ground import Ground

    if sort.from_plan and not has_record(path, database):
        from pacewright.events.standing import Standing

        works, _ = open_works(path)
        return Ground(works, Standing(), datetime.combine(works.settings.plan.today, time()))
    stands = as_it_stands(path, "This paper is made from the record.", database, at)
    works = as_recorded(stands.works, stands.standing, stands.now).works
    if at is not None:
        told = "record as it tells of that time"
    else:
        with open_record(path, database, create=False, read_only=True) as record:
            told = _told(record.head().place)
    return Ground(works, stands.standing, stands.now, told=told)


def _sort(key: str) -> "Sort":
    from pacewright.reports.papers.catalogue import SORTS

    if key not in SORTS:
        raise CallError(
            f"paper {key[:40]}: there is no such sort of paper. Write one of: {', '.join(SORTS)}."
        )
    return SORTS[key]


def _printed(paper: "Paper", works_path: Path, language: "Language | None" = None) -> PaperFile:
    from pacewright.reports.papers.press import printed

    done = printed(paper, language, typefaces_of(works_path))
    return PaperFile(f"{paper.name}.pdf", done.made, tuple(str(one) for one in done.lacking))


def typefaces_of(works_path: Path) -> "Typefaces":
    """The fonts papers of a works may use: the package's, and those in its folder ``fonts``.

    Raises
    ------
    CallError : a file there is no font, or the library that reads fonts is not installed.
    """
    from pacewright.reports.papers.typefaces import fonts_beside, typefaces

    return typefaces(fonts_beside(works_path))
