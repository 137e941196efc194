"""The one order in which the work of planning flows, and the folder of each step."""

FLOW: tuple[tuple[str, str], ...] = (
    ("fleet", "which vehicle is due when, from time and distance"),
    ("callin", "which vehicle comes in which week within its window"),
    ("pace", "days between vehicles, and what each stage, shop and trade must carry"),
    ("floats", "how many spare units so that no vehicle waits for one"),
    ("simulate", "the works run through by events"),
    ("control", "what is true today, what stands for want of what"),
    ("release", "test sheets, open items, certificate"),
)
"""(folder, question it answers), upstream first; ``life`` stands beside it and feeds them all."""
