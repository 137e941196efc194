"""What a desk keeps of what it made, while other tables are taken."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from pacewright.office import desk as desks
from pacewright.office.desk import Tables
from planner_desk import story_desk


def test_what_is_made_while_other_tables_are_taken_is_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The works by the old tables, ready just after the new ones hold, is not given out again."""
    desk = story_desk(tmp_path, roles=())
    old, judged = desk.tables, desks.as_recorded
    works = replace(old.works, settings=replace(old.works.settings, name="Renamed works"))

    def meanwhile(*given: Any) -> Any:
        made = judged(*given)
        desk.take(Tables(works, (), (("works.toml", 1, 1),)))
        return made

    monkeypatch.setattr(desks, "as_recorded", meanwhile)
    assert desk.works_now()[0].settings.name == old.works.settings.name
    monkeypatch.undo()
    assert desk.works_now()[0].settings.name == "Renamed works"
    desk.close()
