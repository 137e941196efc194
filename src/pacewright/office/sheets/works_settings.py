"""The settings of the works, or its workbook: what is set, and every version kept."""

from collections.abc import Mapping

from pacewright.office.desk import Desk
from pacewright.office.sheets.today_paper import look
from pacewright.office.sheets.works_tables import faults_now, faults_table, settings_table
from pacewright.office.sheets.works_tables import versions_table as versions_kept
from pacewright.office.works_files import SETTINGS, WORKBOOK, files_of
from pacewright.reports.sheet import Part, Sheet
from pacewright.reports.written import some


def settings_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """What is set, and the file in which it is: works.toml of a folder, or the whole workbook."""
    faults = faults_now(desk)
    if not faults:
        look(desk)
    one = files_of(desk)[0]
    whole = one.key == WORKBOOK
    told = settings_table(desk.works)
    kept = versions_kept(desk, WORKBOOK if whole else SETTINGS)
    return Sheet(
        key="settings",
        title="Workbook" if whole else "Settings",
        question="What is set for this works, and who changed it when?",
        answer=(
            f"{some(len(told.rows), 'setting')} in {one.name}"
            + (", which holds the tables of the works as well." if whole else "."),
            f"Replaced {some(len(kept.rows), 'time')} through this page."
            if kept.rows
            else "It was not replaced through this page yet.",
        ),
        parts=(
            Part("faults", "Faults", "Found in the files as they lie there now: file, row or line, "
                 "what was found, the rule, the remedy.", faults_table(faults),
                 empty="None. Every file was read and cross-checked."),
            Part("settings", "Settings in use", "As they are in use; a setting that the file "
                 "leaves out shows what it then is.", told),
            Part("versions", "Versions kept", "Every replacement, the newest first; kept_as leads "
                 "to the file as it was before it.", kept,
                 links={"kept_as": "/works/versions/{}"},
                 empty="It was not replaced through this page yet."),
        ),
        basis=(f"{one.name}, read and cross-checked.",),
    )  # fmt: skip
