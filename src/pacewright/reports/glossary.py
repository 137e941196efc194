"""The words of the trade that the report uses, and the lines of caution at its foot."""

WORDS: tuple[tuple[str, str], ...] = (
    ("able", "what a place could pass at full use; the pace is what it must pass"),
    ("away", "a depot's vehicles that are at the works or on the way there or back"),
    ("call-in", "bringing one vehicle to the works on one day"),
    ("critical path", "the stages on which any delay delays the release"),
    ("due", "the day the first of a vehicle's intervals, time or distance, runs out"),
    ("even call-in", "vehicles follow each other at equal distances; random call-in: by chance"),
    ("firm, planned, outline", "how far ahead a call-in can be relied on"),
    ("float", "serviceable units and units under repair beyond those owed to vehicles"),
    ("geared", "able to keep the pace with an allowance for spread, and not much more"),
    ("hold-up", "a vehicle that stands for want of a part, position, people or plant"),
    ("life given away", "days of permitted life lost by coming before the due day"),
    ("limit", "the last day a vehicle may run"),
    ("offset", "working days between taking a unit off and needing one for the same vehicle"),
    ("pace", "vehicles called in, and released, in a full working week"),
    ("position", "one place where one vehicle or assembly can stand"),
    ("ready", "a serviceable unit is there on the day it is to be fitted"),
    ("relief", "the least easing of one rule that would make everything fit"),
    ("runs ahead", "much faster than the pace: idle, or work piles up behind it"),
    ("slack", "days something may take longer without delaying the release"),
    ("takt", "working time between one vehicle and the next"),
    ("tight", "able on average, short when work scatters"),
    ("turn time", "vehicle: gate-in to release; unit: removal to serviceable; waits included"),
    ("window", "the days between which a vehicle may come in"),
)

CAUTION: tuple[str, ...] = (
    "The tool plans; licensed people certify. It never certifies by itself.",
    "No plan moves a vehicle past its limit: what does not fit is named and stands.",
    "Factors forecast quantities; they never decide an individual part. Must-change means always.",
    "Lifted vehicles are supported before work; no second job on a lifted vehicle when one needs it"
    " moved.",
    "Cure, bedding-in, torque-check and test times are never shortened to save a takt.",
    "Two-pack paints, ovens, asbestos, lead, springs, compressed air and high voltage: follow local"
    " rules and those licensed for them.",
    "Standard times plan shops; they are not for ranking people.",
)
