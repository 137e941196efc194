"""A small good works for tests: 2 types, 10 vehicles, 9 stages, 3 unit kinds; all invented.

``small_works()`` gives it as ``Works``; ``write_small(folder, change)`` writes the folder after
``change(tables)`` has altered what the test wants altered.
"""

import csv
from collections.abc import Callable
from pathlib import Path

from pydantic import TypeAdapter

from pacewright.base.settings import Settings
from pacewright.works import TABLES, Works

Tables = dict[str, list[dict[str, str]]]

SETTINGS = """\
name = "Lindmoor Works"
distance_unit = "km"

[calendar]
working_weekdays = ["mon", "tue", "wed", "thu", "fri"]
holidays = [2026-04-03, 2026-12-25]

[[calendar.shifts]]
name = "day"
starts = 07:00:00
ends = 15:30:00
break_minutes = 30

[[calendar.shutdowns]]
name = "summer"
first = 2026-08-03
last = 2026-08-14

[plan]
today = 2026-03-02
start = 2026-03-09
horizon_weeks = 104
firm_weeks = 13
planned_weeks = 52

[[plan.pace]]
starts = 2026-03-02
vehicles_a_week = 1
"""

_TEXT = {
    "vehicle_types": """
type_id,name,turn_days,interval_months,interval_distance,early_days,late_days,late_distance,week_limit
solo,Two-axle bus,15,48,250000,90,14,5000,
long,Three-axle bus,18,36,,120,0,0,1
""",
    "depots": """
depot_id,name,away_limit,travel_days
north,North depot,2,0.5
south,South depot,,1
""",
    "vehicles": """
vehicle_id,type_id,depot_id,state,in_service,last_overhaul,overhaul_odometer,licence_expiry,withdraw_on,gate_in,stage_id
101,solo,north,running,2018-05-01,2022-06-10,240000,,,,
102,solo,north,running,2018-05-01,2022-09-20,255000,2026-11-30,,,
103,solo,north,standing,2018-06-01,2022-11-15,,,,,
104,solo,south,inside,2018-06-01,2022-02-14,230000,,,2026-02-23,body
105,solo,south,running,2023-03-01,,,,,,
106,solo,south,withdrawn,2008-03-01,2020-03-02,700000,,,,
201,long,north,running,2019-01-15,2023-04-03,,,,,
202,long,south,running,2019-01-15,2023-09-11,,,2026-08-01,,
203,long,south,running,2020-02-01,2024-01-22,,,,,
204,long,south,running,2020-02-01,2023-01-16,,,,,
""",
    "readings": """
vehicle_id,read_on,odometer
101,2022-06-10,240000
101,2024-06-10,350000
101,2025-06-10,404000
101,2026-02-10,440500
102,2022-09-20,255000
102,2025-09-20,415000
102,2026-02-10,437000
104,2022-02-14,230000
104,2026-02-20,440000
105,2024-03-01,52000
105,2025-03-01,104000
105,2026-02-10,154000
""",
    "shops": """
shop_id,name,hours_a_day
strip,Strip shop,
body,Body shop,
run,Running gear shop,16
elec,Electrical shop,
paint,Paint shop,
test,Test house,
""",
    "trades": """
trade_id,name
fitter,Fitter
body,Body builder
elec,Electrician
paint,Painter
""",
    "people": """
shop_id,trade_id,people,hours_a_day,attendance_share,performance,shown_hours_a_week
strip,fitter,4,8,0.9,1,
body,body,6,8,0.9,0.95,205
run,fitter,6,8,0.9,1,
elec,elec,3,8,0.88,1,
paint,paint,3,8,0.9,1,
test,fitter,2,8,0.9,1,
""",
    "assemblies": """
type_id,assembly_id,name,count
solo,body,Body,1
solo,chassis,Chassis,1
long,body,Body,1
long,chassis,Chassis,1
""",
    "stages": """
stage_id,name,shop_id,assembly_id,positions,hours_least,hours_usual,hours_most,follows,crew,batch_size,night_goes_on,longest_wait_hours,type_ids
strip,Strip and part,strip,vehicle,1,12,16,24,,3,1,no,,
body,Body repair,body,body,2,20,28,48,strip,2,1,no,,
bpaint,Body paint,paint,body,1,8,10,14,body,2,1,yes,24,
chstrip,Chassis strip and clean,run,chassis,1,6,8,12,strip,2,1,no,,
chaxle,Third axle repair,run,chassis,1,6,8,16,chstrip,2,1,no,,long
chbuild,Chassis build,run,chassis,1,10,14,20,chstrip chaxle,2,1,no,,
marry,Marry,strip,vehicle,1,4,6,8,bpaint chbuild,3,1,no,,
fitout,Fit out,elec,vehicle,2,12,16,24,marry,2,1,no,,
test,Test and release,test,vehicle,1,4,6,16,fitout,2,1,no,,
""",
    "unit_kinds": """
unit_kind_id,name,shop_id,strip_stage_id,fit_stage_id,turn_days,turn_sd_days,removal_share,must_change,scrap_share,purchase_days,purchase_lot,lot_size,despatch_days,site_a_week,site_float,site_transit_days,benches,bench_hours,unit_cost
motor,Traction motor,elec,strip,fitout,9,2,1,no,0.02,60,1,1,0,0,0,0,2,14,9000
axle,Driven axle,run,chstrip,chbuild,6,1.5,0.9,no,0.01,90,1,1,0,0,0,0,,0,7000
valve,Brake valve,run,strip,fitout,4,1,1,yes,0.05,30,4,4,5,0.5,1,1,1,3,400
""",
    "fits": """
unit_kind_id,type_id,per_vehicle
motor,solo,1
motor,long,1
axle,solo,1
axle,long,2
valve,solo,4
valve,long,6
""",
    "floats": """
unit_kind_id,serviceable,unserviceable,quarantine
motor,1,1,0
axle,1,0,0
valve,6,4,1
""",
    "operations": """
operation_id,name,trade_id,standard_hours,stage_id,unit_kind_id,type_id,occurrence_share,sample,must_change
st-1,Strip out,fitter,36,strip,,,1,0,yes
bd-1,Pillar and panel repair,body,44,body,,,0.8,120,no
bd-2,Floor renewal,body,26,body,,,0.35,120,no
bd-3,Joint bellows frame,body,12,body,,long,0.5,40,no
pt-1,Prepare and paint,paint,18,bpaint,,,1,0,yes
ch-1,Clean and strip chassis,fitter,14,chstrip,,,1,0,yes
ch-2,Third axle bushes,fitter,12,chaxle,,,1,0,no
ch-3,Build chassis,fitter,24,chbuild,,,1,0,yes
mr-1,Marry body and chassis,fitter,14,marry,,,1,0,yes
ft-1,Wire and fit out,elec,30,fitout,,,1,0,yes
ts-1,Test run and rectify,fitter,10,test,,,1,0,yes
mt-1,Motor overhaul,elec,14,,motor,,1,0,no
mt-2,Motor rewind,elec,40,,motor,,0.08,75,no
ax-1,Axle overhaul,fitter,18,,axle,,1,0,no
vl-1,Valve overhaul,fitter,2.5,,valve,,1,0,yes
""",
    "plant": """
plant_id,name,shop_id,how_many,batch_size,cycle_hours,night_goes_on
booth,Spray booth with drying,paint,1,1,10,yes
oven,Winding oven,elec,1,4,12,yes
""",
    "plant_loads": """
plant_id,stage_id,unit_kind_id,pieces
booth,bpaint,,1
oven,,motor,1
""",
    "upsets": """
upset_id,mean_days_between,mean_hours,stage_id,unit_kind_id
crane,60,10,marry,
""",
    "campaigns": """
campaign_id,name,type_id,stage_id,trade_id,standard_hours,first,last
doors,New door controls,solo,fitout,elec,9,2026-06-01,2027-12-31
""",
    "test_items": """
item_id,name,stage_id,limit_source,type_id,reading_unit,least,most,must_pass
brake,Service brake deceleration,test,own instruction 4; local code governs,,m/s2,4.5,,yes
insul,Insulation of the traction circuit,test,own instruction 7; local code governs,,MOhm,2,,yes
doors,Doors close and hold,test,own instruction 9,,,,,yes
""",
}


def small_tables() -> Tables:
    """The tables as text cells: table name -> rows, column -> cell."""
    return {
        table: [dict(row) for row in csv.DictReader(text.strip().splitlines())]
        for table, text in _TEXT.items()
    }


def small_settings_toml() -> str:
    """The text of works.toml."""
    return SETTINGS


def small_works(
    change: Callable[[Tables], None] | None = None, settings_toml: str = SETTINGS
) -> Works:
    """The works itself, after ``change(tables)``; nothing is cross-checked here."""
    import tomllib

    tables = small_tables()
    if change:
        change(tables)
    rows = {
        model.TABLE: tuple(
            TypeAdapter(list[model]).validate_python(
                [{k: v for k, v in row.items() if v != ""} for row in tables.get(model.TABLE, [])]
            )
        )
        for model in TABLES
    }
    settings = TypeAdapter(Settings).validate_python(tomllib.loads(settings_toml))
    return Works(settings=settings, **rows)


def write_small(
    folder: Path,
    change: Callable[[Tables], None] | None = None,
    settings: str = SETTINGS,
) -> Path:
    """Write works.toml and the CSV tables into ``folder`` (made if need be); gives ``folder``."""
    tables = small_tables()
    if change:
        change(tables)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "works.toml").write_text(settings, encoding="utf-8")
    for table, rows in tables.items():
        write_table(folder / f"{table}.csv", rows)
    return folder


def write_table(path: Path, rows: list[dict[str, str]]) -> None:
    """Write one table; its columns are those of all its rows, in order of first mention."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, names, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
